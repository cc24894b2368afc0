"""A small equipment file in which every kind of reference occurs, and helpers that spoil it."""

from __future__ import annotations

from asleft.equipment.errors import EquipmentError, EquipmentErrors
from asleft.equipment.load import load_bytes

SAMPLE = """\
# A sample.
format = 1

[unit]
id = "sample-1"
maker = "Osmere"
model = "Reed 3"
serial_pattern = "R3-[0-9]{4}"
orientations = ["upflow", "downflow"]

[[supply]]
id = "240"
nominal = "240 V"
lowest = "216 V"
highest = "253 V"

[control_circuit]
nominal = "24 V"
lowest = "21.6 V"
highest = "28 V"

[blower]
lowest_airflow = "800 cfm"
highest_airflow = "1400 cfm"
table_accuracy = 0.05

[[blower.tier]]
id = "low"
label = "Low"
rated_static = "0.20 inH2O"
highest_static = "0.60 inH2O"

[[blower.tier.speed]]
use = "cooling"
units = ["inH2O", "cfm", "W"]
rows = [
  [0.10, 1200, 350],
  [0.40, 1100, ""],
]

[[blower.tier]]
id = "high"
label = "High"

[[blower.tier.speed]]
use = "cooling"
units = ["Pa", "L/s", "W"]
rows = [[25, 600, 350], [100, 550, 380]]

[[heater]]
id = "K9"
label = "9 kW"
power = "9.6 kW"
voltage = "240 V"
supplies = ["240"]
orientations = ["upflow"]
least_airflow_in = { upflow = "900 cfm" }

[[heater.stage]]
id = "1"
power = "4.8 kW"

[[heater.stage]]
id = "2"
power = "4.8 kW"

[[heater.circuit]]
stages = ["1", "2"]
feeds_blower = true
minimum = "55.4 A"
maximum = "60 A"

[limits]
lowest_rise = "5 degF"
highest_rise = "60 degF"

[heat_pump]
cut_out = "-4 degF"

[[heat_pump.pairing]]
id = "P3"
label = "Outdoor 3"
lowest_cooling = "30000 Btu/h"
highest_cooling = "36000 Btu/h"
capacity_47 = "36000 Btu/h"
capacity_17 = "20000 Btu/h"

[[address]]
id = "wall"
label = "Wall"
scope = "system"

[[address]]
id = "unit"
label = "Unit"
number = "1"

[[setting]]
id = "air"
label = "Air"
entry = "parameter"
address = ["unit"]
values = ["1", "2", "3"]
factory = "1"

[[setting]]
id = "bank"
label = "Bank"
entry = "parameter"
address = "unit"
values = ["none", "one", "both"]
after = ["air"]

[[setting]]
id = "wait"
label = "Wait"
entry = "code"
address = "wall"
values = ["10", "30"]

[[code]]
setting = "wait"
value = "10"
write = "W10"
query = "W?"
shown = "at 10"

[[code]]
setting = "wait"
value = "30"
write = "W30"
query = "W?"
shown = "at 30"

[[topic]]
id = "tier"
label = "Tier"
role = "blower-tier"

[[topic.option]]
id = "low"
label = "Low"
when = { orientation = ["upflow"] }
set = { air = "1" }
value = "low"

[[topic.option]]
id = "high"
label = "High"
when = { orientation = ["upflow"] }
set = { air = "2" }
value = "high"

[[topic.option]]
id = "low"
label = "Low"
when = { orientation = ["downflow"] }
set = { air = "2" }
value = "low"

[[topic]]
id = "auxiliary"
label = "Auxiliary heat"
role = "auxiliary-heat"

[[topic.option]]
id = "off"
label = "Off"
set = { bank = "none" }
value = []

[[topic.option]]
id = "both"
label = "Both"
when = { kit = ["K9"] }
set = { bank = "both" }
value = ["1", "2"]

[[topic]]
id = "delay"
label = "Delay"
role = "auxiliary-delay"

[[topic.option]]
id = "short"
label = "Short"
set = { wait = "10" }
value = "10 min"

[[topic.option]]
id = "long"
label = "Long"
set = { wait = "30" }
value = "30 min"

[procedure.wall]
reach = ["Press the frame."]

[procedure.code]
change = ["Key it in."]
"""


def spoilt(old: str, new: str, nth: int = 1) -> str:
    """The sample with the nth occurrence of a piece of it replaced."""
    at = -1
    for _ in range(nth):
        at = SAMPLE.index(old, at + 1)
    return SAMPLE[:at] + new + SAMPLE[at + len(old) :]


def errors_of(text: str | bytes, name: str = "sample.toml") -> tuple[EquipmentError, ...]:
    """What loading a text complains of; nothing where it loads."""
    try:
        load_bytes(text if isinstance(text, bytes) else text.encode(), name)
    except EquipmentErrors as errors:
        return errors.errors
    return ()


def place(text: str, mark: str, nth: int = 1) -> tuple[int, int]:
    """Line and column, from 1, of the nth occurrence of a mark."""
    at = -1
    for _ in range(nth):
        at = text.index(mark, at + 1)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
