"""The working of a calculation can be repeated with a pencil: every sum gives what is written behind it."""

from __future__ import annotations

import math
import random
import re

import pytest

from asleft.calc import CalcError
from asleft.calc.catalogue import Input, catalogue
from asleft.calc.steps import Sheet
from asleft.calc.working import Answer, answer
from asleft.quantity import KINDS

_UNITS = {unit.name for kind in KINDS.values() for unit in kind.units.values() if unit.name}
_UNITS |= {"ohm/ft", "ohm/m", "kPa", "kW/K"}
_UNIT = re.compile(
    r"(?<=[0-9]) (?:" + "|".join(map(re.escape, sorted(_UNITS, key=len, reverse=True))) + r")(?![A-Za-z0-9/])"
)
_WORDS = {
    "sqrt": math.sqrt,
    "ln": math.log,
    "exp": math.exp,
    "min": min,
    "max": max,
    "abs": abs,
    "Phi": lambda x: 0.5 * (1 + math.erf(x / math.sqrt(2))),
}


def pencil(text: str) -> float:
    """Do the sum that a piece of working writes."""
    bare = _UNIT.sub("", text)
    bare = re.sub(r"\|([^|]+)\|", r"abs(\1)", bare).replace("×", "*").replace("^", "**")
    left = re.findall(r"[A-Za-z°]+", re.sub(r"[0-9]e[+-]?[0-9]", "", bare))
    assert set(left) <= set(_WORDS), f"{text!r} holds what no pencil knows: {left}"
    return float(eval(bare, {"__builtins__": {}}, _WORDS))


def repeat(line: str) -> bool:
    """Do one line again and compare; False where it holds no arithmetic."""
    parts = line.replace("(k = 2)", "").split(" = ")
    if len(parts) == 1:
        return False
    _, arithmetic, came = parts
    value, numbers = (
        pencil(came.partition(",")[0]),
        re.findall(r"[0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]+)?", arithmetic),
    )
    largest = max(float(number) for number in numbers)
    assert pencil(arithmetic) == pytest.approx(value, rel=1e-3, abs=2e-5 * largest), line
    return True


def check(done: Answer, system: str) -> None:
    """Repeat every line, and find every result among them."""
    lines = done.working(system)
    sums = [line for line in lines if repeat(line)]
    sheet = Sheet(done.inputs, done.outcomes, system)
    for outcome in done.outcomes:
        if isinstance(outcome.value, float) and not outcome.result.exact:
            assert any(sheet.came(outcome.result.name) in line for line in sums)
    for given in done.inputs:
        if given.typed is not None and given.input.kind == "word":
            assert any(str(item.value) in line for item in given.items for line in lines)


VARIANTS = {
    "standard-pressure": ["altitude=-900 ft"],
    "air-density": ["temperature=-20 C", "relative_humidity=0.9"],
    "sensible-heat": ["airflow=565 L/s", "temperature_change=-11 K", "altitude=5000 ft"],
    "airflow-from-rise": ["heater_power=9613 W", "rise=26.3 F", "altitude=1600 m"],
    "rise-from-airflow": ["heater_power=32 kBtu/h", "airflow=1 m3/s", "altitude=1600 m"],
    "heater-power": ["rated_power=15 kW", "rated_voltage=480 V", "voltage=0 V", "phases=3"],
    "heater-current": ["power=15 kW", "voltage=208 V", "phases=3"],
    "supply-limits": ["nominal=230 V", "measured_at=service"],
    "voltage-unbalance": ["voltages=480 V,400 V,480 V"],
    "branch-circuit": ["heater_power=20 kW", "voltage=240 V", "material=aluminium", "ambient=104 F"],
    "overcurrent-device": ["ampacity=1 A"],
    "conductor-ampacity": ["size=1/0", "termination=75 C", "conductors=4", "material=aluminium"],
    "voltage-drop": ["current=20 A", "length=60 m", "size=6 mm2", "voltage=400 V", "phases=3"],
    "control-load": ["rating=40 VA", "loads=0.5 A", "voltage=25 V"],
    "total-external-static": ["supply=75 Pa ± 3", "return=50 Pa ± 2"],
    "friction-rate": ["external_static=10 Pa", "losses=20 Pa", "total_effective_length=90 m"],
    "system-curve": [
        "airflow=1200 cfm ± 5 %",
        "static=0.5 in wc ± 0.01",
        "new_airflow=0 cfm",
        "exponent=1.8",
    ],
    "fan-law": ["airflow=1 m3/s", "static=100 Pa", "power=400 W", "density_ratio=0.85"],
    "operating-point": [
        "fan_static=50 Pa,100 Pa,200 Pa",
        "fan_airflow=500 L/s,600 L/s,400 L/s",
        "airflow=500 L/s",
        "static=70 Pa",
        "exponent=1.7",
    ],
    "face-velocity": ["airflow=600 L/s ± 10 L/s", "width=500 mm", "height=50 cm"],
    "fan-efficacy": ["power=398; 401; 404 W", "airflow=1200 cfm"],
    "balance-point": [
        "capacity_47=36 kBtu/h",
        "capacity_17=22 kBtu/h",
        "capacity_35=25 kBtu/h",
        "design_load=26 kBtu/h",
        "design_temperature=20 F",
    ],
    "delay-droop": [
        "deficit=7 kW ± 0.5 kW",
        "heat_loss_coefficient=350 W/K ± 10 %",
        "thermal_capacity=8 MJ/K",
        "delay=11 min",
        "start_droop=-1 F",
    ],
    "recovery-time": [
        "surplus=1 kW",
        "heat_loss_coefficient=350 W/K",
        "thermal_capacity=30 MJ/K",
        "setback=6 F",
    ],
    "thermal-capacity": ["floor_area=185 m2 ± 5 m2", "construction=very-light"],
    "instrument-uncertainty": ["reading=-70 F", "percent=1 %", "absolute=0.5 F"],
    "conformity": ["value=253 V", "expanded=1.8 V", "upper=252 V"],
}


def typed(pairs: list[str] | tuple[str, ...]) -> dict[str, str]:
    """Inputs by name."""
    return dict(pair.split("=", 1) for pair in pairs)


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("name", catalogue())
def test_every_line_of_arithmetic_can_be_repeated(name: str, system: str) -> None:
    """The example and one unlike it, in either system of units."""
    for pairs in (catalogue()[name].example, VARIANTS[name]):
        check(answer(name, typed(pairs)), system)


def drawn(entry: Input, rng: random.Random) -> str:
    """Something plausible for an input."""
    if entry.choices:
        return rng.choice(entry.choices)
    if entry.kind == "size":
        return rng.choice(["14 AWG", "10 AWG", "6 AWG", "1/0", "4/0", "6 mm2", "16 AWG"])
    if entry.kind == "count":
        return str(rng.choice([1, 3]) if entry.name == "phases" else rng.randint(1, 12))
    if entry.name in ("termination", "insulation"):
        return f"{rng.choice([60, 75, 90])} C"
    if entry.kind in ("any", "reading"):
        return f"{rng.uniform(1, 300):.1f} V"
    kind = KINDS[entry.kind]
    low, high = {
        "ratio": (0.2, 1.0),
        "percent": (0.0, 5.0),
        "temperature": (-20.0, 60.0),
        "heat_loss_coefficient": (50.0, 500.0),
        "thermal_capacity": (1e6, 4e7),
        "time": (0.0, 9000.0),
        "static_pressure": (5.0, 250.0),
        "airflow": (0.2, 1.0),
        "electric_power": (100.0, 30000.0),
        "heat_rate": (1000.0, 20000.0),
        "voltage": (100.0, 500.0),
        "current": (0.1, 60.0),
    }.get(entry.kind, (1.0, 50.0))
    numbers = [rng.uniform(low, high) for _ in range(3 if entry.list else 1)]
    if entry.name == "fan_static":
        numbers.sort()
    limit = rng.choice(["", "", " ± 1 %"]) if entry.kind not in ("ratio", "percent") else ""
    base = kind.base_unit
    return ",".join(f"{number:.4g} {base}{limit}".strip() for number in numbers)


@pytest.mark.parametrize("name", catalogue())
def test_whatever_is_put_in_the_working_can_be_repeated(name: str) -> None:
    """Forty draws for each calculation; those that are refused count for nothing."""
    rng = random.Random(f"pencil {name}")
    done = 0
    for _ in range(40):
        inputs = {
            entry.name: drawn(entry, rng)
            for entry in catalogue()[name].inputs
            if not (entry.optional or entry.default is not None) or rng.random() < 0.5
        }
        try:
            found = answer(name, inputs)
        except CalcError:
            continue
        check(found, rng.choice(["ip", "si"]))
        done += 1
    assert done >= 3


def test_every_input_is_put_in() -> None:
    """What was typed stands in the working, as typed where it was typed in the units shown."""
    found = answer(
        "branch-circuit", typed(["heater_power=9.613 kW", "voltage=239.7 V", "blower_current=2.37 A"])
    )
    working = "\n".join(found.working("ip"))
    for number in ("9.613 kW", "239.7 V", "2.37 A"):
        assert number in working
