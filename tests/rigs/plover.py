"""A small air handler with physics of its own: one kit, one circuit, a blower of three speeds, no heat pump.

It knows the rig protocol and nothing of the program: arithmetic in SI, readings as the instruments show them.
What the maker prints in the unit's file comes from the same curves, as a maker's tables do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random
from typing import Any

SPEEDS = {"breeze": (0.42, 95.0, 1.1), "draft": (0.52, 150.0, 1.6), "gale": (0.62, 230.0, 2.3)}
"""By the position of the dial: free flow in m3/s, watts, amps."""
SHUT_PA = 250.0
"""Static at which no air moves."""
STATICS_PA = (10, 35, 60, 85, 110, 135, 160, 185)
HEAT_W, RATED_V = 5000.0, 240.0
AIR_J_M3K = 1.2041 * 1006.0
"""Heat that warms a cubic meter of standard air by a kelvin."""
AWG10_OHM_M = 1.24 / 304.8
"""NEC ch. 9 table 8, stranded copper, 75 degC."""


def flow(speed: str, static_pa: float) -> float:
    """Air of a speed at a static, m3/s."""
    return SPEEDS[speed][0] * math.sqrt(max(0.0, 1.0 - static_pa / SHUT_PA))


def file(*, setting: str = "") -> str:
    """The unit's file; `setting`: more keys of the dial."""
    tiers = "".join(
        f"""
[[blower.tier]]
id = "{speed}"
label = "Dial at {speed}"

[[blower.tier.speed]]
use = "cooling"
units = ["Pa", "L/s", "W"]
rows = [{", ".join(f"[{p}, {1000 * flow(speed, p):.2f}, {SPEEDS[speed][1]:.0f}]" for p in STATICS_PA)}]
"""
        for speed in SPEEDS
    )
    options = "".join(
        f"""
[[topic.option]]
id = "{speed}"
label = "{speed.title()}"
set = {{ dial = "{speed}" }}
value = "{speed}"
"""
        for speed in SPEEDS
    )
    return f"""format = 1

[unit]
id = "wexcombe-plover"
maker = "Wexcombe"
model = "Plover"

[[supply]]
id = "240"
nominal = "240 V"
phases = 1
frequency = 60
lowest = "207 V"
highest = "253 V"

[blower]
motor = "permanent-split-capacitor"
phases = 1
full_load_current = "2.6 A"
highest_static = "180 Pa"
table_accuracy = 0.03
{tiers}
[[heater]]
id = "hob"
label = "Hob 5 kW"
power = "5 kW"
voltage = "240 V"
phases = 1
least_airflow = "200 L/s"
insulation_test = false

[[heater.stage]]
id = "a"
power = "5 kW"
elements = 1
connection = "single"

[[heater.circuit]]
stages = ["a"]
feeds_blower = true
minimum = "29 A"
maximum = "30 A"

[limits]
leaving_air = "90 degC"

[[address]]
id = "front"
label = "Front panel"
scope = "unit"

[[setting]]
id = "dial"
label = "Speed dial"
entry = "parameter"
address = "front"
values = ["breeze", "draft", "gale"]
factory = "gale"
{setting}
[[topic]]
id = "speed"
label = "Blower speed"
role = "blower-tier"
{options}"""


FACTS = {
    "identity.site": "Low Barn 3",
    "identity.technician": "Ida Holm",
    "identity.model": "Plover",
    "identity.serial": "P-0040",
    "identity.supply": "240",
    "identity.system": "split",
    "identity.kit": "hob",
    "identity.orientation": "upflow",
    "identity.address.front": "1",
    "identity.altitude": "0 ft",
    "identity.code": "NEC 2023",
    "identity.instrument.meter": "meter-corwen",
    "identity.instrument.clamp": "clamp-corwen",
    "identity.instrument.manometer": "manometer-pell",
    "identity.instrument.thermometer": "thermometer-pell",
    "electrical.disconnect.lockable": "yes",
    "electrical.circuit.1.device": "30 A",
    "electrical.circuit.1.conductor": "10 AWG",
    "electrical.circuit.1.material": "copper",
    "electrical.circuit.1.insulation": "90",
    "electrical.circuit.1.ambient": "30 degC",
    "electrical.circuit.1.conductors": "2",
    "electrical.circuit.1.tightened": "yes",
    "electrical.dead.function": "two-pole tester",
    "electrical.dead.tester_before": "yes",
    "electrical.dead.tester_after": "yes",
    "blower.ducts.new": "no",
    "blower.ducts.design": "no",
    "blower.zoned": "no",
    "blower.ready.filter_in": "yes",
    "blower.ready.panels_on": "yes",
    "blower.ready.registers_open": "yes",
    "blower.ready.coil": "dry",
    "heat.design_temperature": "-10 degC",
    "heat.path.normal": "yes",
    "heat.room.reference": "20.0 degC",
    "heat.room.shown": "20 degC",
    "blower.filter.width": "600 mm",
    "blower.filter.height": "500 mm",
    "blower.filter.final_drop": "60 Pa",
    "signoff.cleared": "yes",
    "signoff.holes_plugged": "yes",
    "signoff.owner_shown": "yes",
    "signoff.directory": "yes",
    "signoff.told": "the owner",
    "signoff.tagged": "yes",
}


@dataclass
class Plover:
    """One house with this unit in it. Faults are what its fields say: ohms of a joint, ducts, a dial."""

    seed: int = 1
    joint_ohm: float = 0.0
    """In the lug of L2 at the unit."""
    panel_reached: bool = True
    ducts: float = 0.0
    source_v: float = 0.0
    run_m: float = 9.0
    upstream_ohm: float = 0.02
    cycled: bool = False
    """Whether what is set at the dial comes into force with the next power on alone."""
    power: str = "on"
    dial: str = "gale"
    runs: str = "gale"
    refused: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        random = Random(f"plover {self.seed}")
        self.ducts = self.ducts or random.uniform(380.0, 560.0)
        self.source_v = self.source_v or random.uniform(236.0, 245.0)
        self._gain = {name: random.uniform(-1.0, 1.0) for name in "VAPC"}
        self._random = random

    # ---- physics

    def air(self) -> tuple[float, float]:
        """Flow and static of the speed that runs: p = k q2 of the ducts meets q = q0 root(1 - p/shut)."""
        free = SPEEDS[self.runs][0]
        squared = free**2 / (1.0 + free**2 * self.ducts / SHUT_PA)
        return math.sqrt(squared), self.ducts * squared

    def run_ohm(self) -> float:
        """Both conductors of the circuit."""
        return 2.0 * self.run_m * AWG10_OHM_M

    def volts(self, heat: bool) -> tuple[float, float, float]:
        """At the unit, at the panel, and the amps between them."""
        blower_a = SPEEDS[self.runs][2]
        lost_ohm = self.upstream_ohm + self.run_ohm() + self.joint_ohm
        siemens = HEAT_W / RATED_V**2 if heat else 0.0
        at_unit = (self.source_v - blower_a * lost_ohm) / (1.0 + siemens * lost_ohm)
        amps = siemens * at_unit + blower_a
        return at_unit, self.source_v - amps * self.upstream_ohm, amps

    def rise(self) -> float:
        """Of the heat and the blower's watts in this air, K."""
        at_unit, _, _ = self.volts(heat=True)
        watts = HEAT_W * (at_unit / RATED_V) ** 2 + SPEEDS[self.runs][1]
        return watts / (AIR_J_M3K * self.air()[0])

    # ---- instruments

    def _v(self, volts: float) -> str:
        return f"{max(0.0, volts * (1 + 0.003 * self._gain['V']) + self._random.uniform(-0.1, 0.1)):.1f} V"

    def _a(self, amps: float) -> str:
        return f"{max(0.0, amps * (1 + 0.008 * self._gain['A']) + self._random.uniform(-0.03, 0.03)):.2f} A"

    def _pa(self, pascal: float) -> str:
        return f"{pascal * (1 + 0.004 * self._gain['P']) + self._random.uniform(-0.2, 0.2):.1f} Pa"

    def _c(self, celsius: float) -> str:
        return f"{celsius + self._random.uniform(-0.2, 0.2):.1f} degC"

    def read(self, id: str) -> str | None:
        """What is read in a field; None where there is nothing."""
        if id in FACTS:
            return FACTS[id]
        _, static = self.air()
        hot, panel, amps = self.volts(heat=True)
        cold, _, _ = self.volts(heat=False)
        found = {
            "electrical.circuit.1.length": f"{self.run_m} m",
            "electrical.line.l1_l2": self._v(cold),
            "electrical.line.l1_ground": self._v(cold / 2),
            "electrical.line.l2_ground": self._v(cold / 2),
            "electrical.ground.resistance": "0.2 ohm",
            "electrical.blower.current": self._a(SPEEDS[self.runs][2]),
            "electrical.stage.1.voltage": self._v(hot),
            "electrical.loaded.l1_l2": self._v(hot),
            "electrical.stage.1.current": self._a(amps),
            "blower.static.supply": self._pa(0.58 * static),
            "blower.static.return": self._pa(-0.42 * static),
            "heat.static.supply": self._pa(0.58 * static),
            "heat.static.return": self._pa(-0.42 * static),
            "blower.static.filter": self._pa(0.12 * static),
            "blower.open_port": "0.0 Pa",
            "blower.design_airflow": "430 L/s",
            "heat.design_load": "4.2 kW",
            "heat.stage.1.return_air": self._c(20.0),
            "heat.stage.1.leaving_air": self._c(20.0 + self.rise()),
            "signoff.made_safe": "isolated" if self.power == "off" else "heat off",
        }
        if self.panel_reached:
            found["electrical.panel.l1_l2"] = self._v(panel)
        if id in found:
            return found[id]
        if id.startswith("electrical.dead.") or ".locked." in id:
            return "0.0 V"
        if ".no_call." in id or id.endswith("called.both"):
            return "0.02 A" if id.endswith("both") else self._a(0.0)
        if ".called." in id or id.startswith("heat.minute."):
            return self._a(amps)
        if ".joint." in id:
            return self._v(amps * self.joint_ohm if id.endswith("l2") else 0.0)
        return None

    # ---- the protocol

    def ask(self, request: dict[str, Any]) -> dict[str, Any]:
        """The answer to one request."""
        match request["do"]:
            case "read":
                typed = self.read(request["field"])
                if typed is None:
                    self.refused.append(request["field"])
                    return {"refused": "nobody here can tell"}
                return {"typed": typed} | self._clock(request["field"])
            case "power":
                self.power = request["state"]
                if self.power == "off":
                    self.runs = self.dial
                return {"done": True}
            case "look":
                return {"shown": self.dial}
            case "write":
                self.dial = request["value"]
                self.runs = self.runs if self.cycled else self.dial
                return {"shown": self.dial}
            case "mend":
                if request["finding"] == "EL-26" and self.joint_ohm:
                    self.joint_ohm = 0.0
                    return {"done": True, "part": "circuit.1"}
                return {"refused": "nothing here needs mending"}
        return {"refused": "that is nothing this unit does"}

    @staticmethod
    def _clock(id: str) -> dict[str, Any]:
        """Seconds since all heat was called, for the readings that wait for them."""
        return {"after_s": 60.0 * int(id.split(".")[2])} if id.startswith("heat.minute.") else {}

    def close(self) -> None:
        """Nothing to let go of."""
