"""The healthy reference of the trade's table of faults: an equipment file, and the unit installed from it.

240 V, two stages of 4.8 kW (12 ohm, 20 A each) on one circuit, the blower of 400 W on its own, 1200 cfm
at 0.50 in. w.c., 0.30 of it on the supply side. Blowers follow DOE's fits of furnace fans, Q = Q0 + a ESP +
b ESP^2 in cfm and in. w.c. (technical support document, docket EERE-2014-BT-STD-0048-0098, appendix 7-C):
baseline permanent-split-capacitor a 49, b -570; constant-airflow a 99, b -103; Q0 so that both give 1200 at
0.50. Their watts are ours, 400 at 0.50: as airflow for the first, for the other more as static grows.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment
from asleft.installation.behave import behave
from asleft.installation.faults import Fault, with_faults
from asleft.installation.memory import as_found
from asleft.installation.unit import Branch, Installation

CFM = 0.4719474e-3
INCH = 249.089
FITS = {"psc": (49.0, -570.0), "caf": (99.0, -103.0)}
MOTORS = {"psc": ("permanent-split-capacitor", "speed"), "caf": ("electronic", "speed")}
TIERS = {"low": -150.0, "middle": 0.0, "high": 150.0}
"""What each tier moves more or less than the middle one, cfm."""


def airflow_cfm(fan: str, static: float) -> float:
    """A fan's fit through 1200 cfm at 0.50 in. w.c."""
    a, b = FITS[fan]
    return 1200.0 + a * (static - 0.50) + b * (static**2 - 0.25)


def watts(fan: str, static: float, cfm: float) -> float:
    """400 W at 1200 cfm and 0.50 in. w.c."""
    return 400.0 * cfm / 1200.0 if fan == "psc" else 150.0 + 250.0 * cfm * static / 600.0


def _tier(fan: str, tier: str) -> str:
    rows = []
    for n in range(2, 66):
        static = 0.02 * n
        cfm = airflow_cfm(fan, static) + TIERS[tier]
        if cfm > 100.0:
            rows.append(f"  [{static:.2f}, {cfm:.3f}, {watts(fan, static, cfm):.3f}],")
    table = "\n".join(rows)
    return f"""
[[blower.tier]]
id = "{tier}"
label = "Tier {tier}"
[[blower.tier.speed]]
use = "cooling"
units = ["inH2O", "cfm", "W"]
rows = [
{table}
]
"""


def _kit(id: str, stage_kw: float, phases: int) -> str:
    joined = 'elements = 3\nconnection = "delta"' if phases == 3 else 'elements = 1\nconnection = "single"'
    stages = "".join(
        f'[[heater.stage]]\nid = "{n}"\npower = "{stage_kw} kW"\n{joined}\n' for n in ("first", "second")
    )
    return f"""
[[heater]]
id = "{id}"
label = "{2 * stage_kw} kW"
power = "{2 * stage_kw} kW"
voltage = "240 V"
phases = {phases}
{stages}
[[heater.circuit]]
stages = ["first", "second"]
"""


HEAT_OPTIONS = "".join(
    f"""
[[topic.option]]
id = "both"
label = "Both stages"
when = {{ kit = ["{kit}"] }}
set = {{ heat-size = "{kit}", heat-use = "2" }}
value = ["first", "second"]
"""
    for kit in ("ten", "five")
)

TIER_OPTIONS = "".join(
    f"""
[[topic.option]]
id = "{tier}"
label = "Tier {tier}"
when = {{ orientation = ["{way}"] }}
set = {{ air = "{value}" }}
value = "{tier}"
"""
    for way, values in (("up", "123"), ("down", "231"))
    for tier, value in zip(TIERS, values, strict=True)
)

LOCKOUT_OPTIONS = "".join(
    f"""
[[topic.option]]
id = "at-{value}"
label = "{value} °F"
set = {{ lockout = "{value}" }}
value = "{value} degF"
"""
    for value in (10, 30, 50)
)


def reference_text(fan: str = "caf", phases: int = 1) -> str:
    """The equipment file."""
    motor, holds = MOTORS[fan]
    return f"""format = 1
[unit]
id = "gauge"
maker = "Osmere"
model = "Gauge"
orientations = ["up", "down"]
[[supply]]
id = "240"
nominal = "240 V"
phases = {phases}
lowest = "200 V"
highest = "254 V"
[control_circuit]
nominal = "24 V"
lowest = "21.6 V"
highest = "28 V"
transformer = "40 VA"
loads = [{{ label = "all of it", power = "26 VA" }}]
[blower]
motor = "{motor}"
holds = "{holds}"
full_load_current = "4 A"
{"".join(_tier(fan, tier) for tier in TIERS)}
{_kit("ten", 4.8, phases)}
{_kit("five", 2.4, phases)}
[heat_pump]
cut_out = "0 degF"
[[heat_pump.pairing]]
id = "beside"
label = "Beside"
capacity_47 = "36000 Btu/h"
capacity_17 = "22000 Btu/h"
[[address]]
id = "one"
label = "One"
number = "1"
[[address]]
id = "two"
label = "Two"
number = "2"
[[setting]]
id = "air"
label = "Air"
entry = "parameter"
address = ["one", "two"]
values = ["1", "2", "3"]
factory = "2"
[[setting]]
id = "heat-size"
label = "Size of heat"
entry = "parameter"
address = "one"
values = ["none", "ten", "five"]
factory = "ten"
[[setting]]
id = "heat-use"
label = "Use of heat"
entry = "parameter"
address = "one"
values = ["0", "2"]
factory = "2"
[[setting]]
id = "wait"
label = "Delay"
entry = "code"
address = "one"
values = ["10", "20"]
factory = "20"
[[setting]]
id = "lockout"
label = "Lockout"
entry = "parameter"
address = "one"
values = ["10", "30", "50"]
factory = "30"
[[setting]]
id = "ear"
label = "Room"
entry = "parameter"
address = "one"
values = ["wall", "duct"]
factory = "wall"
[[code]]
setting = "wait"
value = "10"
write = "W1"
query = "W"
shown = "ten"
[[code]]
setting = "wait"
value = "20"
write = "W2"
query = "W"
shown = "twenty"
[[topic]]
id = "air"
label = "Blower tier"
role = "blower-tier"
{TIER_OPTIONS}
[[topic]]
id = "heat"
label = "Auxiliary heat"
role = "auxiliary-heat"
[[topic.option]]
id = "off"
label = "Off"
set = {{ heat-use = "0" }}
value = []
{HEAT_OPTIONS}
[[topic]]
id = "wait"
label = "Delay"
role = "auxiliary-delay"
[[topic.option]]
id = "short"
label = "10 minutes"
set = {{ wait = "10" }}
value = "10 min"
[[topic.option]]
id = "long"
label = "20 minutes"
set = {{ wait = "20" }}
value = "20 min"
[[topic]]
id = "lockout"
label = "Outdoor lockout"
role = "outdoor-lockout"
{LOCKOUT_OPTIONS}
[[topic]]
id = "ear"
label = "Room sensor"
role = "room-sensor"
[[topic.option]]
id = "wall"
label = "Wall"
set = {{ ear = "wall" }}
value = "wall"
[[topic.option]]
id = "duct"
label = "Duct"
set = {{ ear = "duct" }}
value = "duct"
"""


@cache
def reference_unit(fan: str = "caf", phases: int = 1) -> Equipment:
    """The reference by its file."""
    return load_bytes(reference_text(fan, phases).encode(), "gauge.toml").equipment


REFERENCE = Installation(
    source_v=240.0,
    source_ohm=0.0,
    system="split",
    phases=1,
    ground_ohm=0.1,
    control_factor=1.0,
    control_regulation=0.003,
    branches=(Branch(50.0, "8 AWG", "copper", 90, 30.0, 2, 0.0),),
    kit="ten",
    element_factors=(1.0, 1.0),
    orientation="up",
    altitude_m=0.0,
    supply_coefficient=0.30 * INCH / (1200 * CFM) ** 2,
    return_coefficient=0.20 * INCH / (1200 * CFM) ** 2,
    exponent=2.0,
    fan_factor=1.0,
    blower_power_factor=2 / 3,
    return_air_c=(70 - 32) / 1.8,
    rise_factor=1.0,
    standby_a=0.0,
)
"""400 W at 240 V and a power factor of 2/3 are 2.5 A."""

SETTINGS = {
    ("air", "one"): "2",
    ("air", "two"): "2",
    ("heat-size", "one"): "ten",
    ("heat-use", "one"): "2",
    ("wait", "one"): "20",
    ("lockout", "one"): "30",
    ("ear", "one"): "wall",
}


def reads(
    state: str,
    *faults: Fault,
    fan: str = "caf",
    phases: int = 1,
    at: Installation = REFERENCE,
) -> dict[str, Any]:
    """What the reference reads in a state, as found, with these faults."""
    unit = reference_unit(fan, phases)
    there = with_faults(at, unit, faults)
    return behave(there, unit, as_found(there, SETTINGS).in_force, state)
