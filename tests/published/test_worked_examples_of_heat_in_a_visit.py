"""Worked examples of heat, air and houses, typed into a visit: their figures and the verdict.

Each source is cited with its address in the file of this folder that stands in brackets behind its name.
"""

from __future__ import annotations

import pytest

from asleft.equipment.model import EquipmentFile
from published.example import Example, row
from published.typed import CONTROL, blower, heat_pump, kit, supply, topic, unit

ON_240 = supply("240 V", "200 V", "260 V")
ON_208 = supply("208 V", "187 V", "229 V")
CIRCUIT = 'stages = ["1"]'
STILL = {"electrical.blower.current": "0.00 A"}
"""A blower on a circuit of its own."""


def drawn(amps: str, *, stages: int = 1) -> dict[str, str]:
    """What each stage draws, each on its own circuit, alike in both legs."""
    typed = {}
    for n in range(1, stages + 1):
        typed[f"electrical.stage.{n}.current"] = f"{amps} A"
        typed |= {f"electrical.circuit.{n}.called.{leg}": f"{amps} A" for leg in ("l1", "l2")}
    return typed


def warmed(entering: str, *leaving: str) -> dict[str, str]:
    """Return air, and leaving air as each stage is added."""
    typed = {}
    for n, air in enumerate(leaving, 1):
        typed |= {f"heat.stage.{n}.return_air": f"{entering} F", f"heat.stage.{n}.leaving_air": f"{air} F"}
    return typed


# ---- a 240 V kit on 208 V

HEAT = topic("heat", "auxiliary-heat", {"off": "[]", "on": '["1"]'})
QUIZ = "ACHR News, a quiz on electric heaters, article 91057 (test_achr_news_quiz)"
QUIZ_UNIT = unit(
    ON_208,
    blower(),
    kit("10 kW", "240 V", CIRCUIT, more='supplies = ["mains"]'),
    CONTROL,
    HEAT,
)
ASKED = STILL | drawn("36.11") | warmed("70", "91")
WRONG_VOLTAGE = [
    row(
        "published",
        "10 kW on 208 V: amperes",
        QUIZ,
        QUIZ_UNIT,
        ASKED,
        "EL-15 stage.1",
        "pass",
        {"36.11": "36.11 A"},
        drawn("41.66"),
        "fail",
    ),
    row(
        "published",
        "10 kW on 208 V: three quarters of the heat",
        QUIZ,
        QUIZ_UNIT,
        ASKED,
        "EL-17 unit",
        "pass",
        {"7.5": "7.51 kW", "75": "75%"},
        drawn("29.00"),
        "fail",
    ),
    row(
        "published",
        "10 kW on 208 V: watts",
        QUIZ,
        QUIZ_UNIT,
        ASKED,
        "HS-6 unit",
        "pass",
        {"7511": "7511"},
        warmed("70", "110"),
        "fail",
    ),
    row(
        "published",
        "10 kW on 208 V: whether it delivers the 25 000 Btu/h of the load",
        QUIZ,
        QUIZ_UNIT,
        ASKED | {"heat.design_load": "25000 Btu/h"},
        "HS-3 unit",
        "pass",
        {"7.5": "7.51 kW"},
        {"heat.design_load": "26000 Btu/h"},
        "fail",
    ),
]

# ---- airflow

BY_RISE = unit(
    ON_240,
    blower('[0.10, 1500, ""], [0.90, 1500, ""]'),
    kit("18.4 kW", "240 V", CIRCUIT, 'stages = ["2"]', stages=("9.2 kW", "9.2 kW"), least_airflow="1200 cfm"),
)
READ = (
    STILL
    | warmed("74", "92", "110")
    | {"electrical.stage.1.voltage": "235 V", "electrical.stage.2.voltage": "235 V"}
    | {"electrical.loaded.l1_l2": "235 V", "electrical.circuit.2.loaded.l1_l2": "235 V"}
    | {"blower.design_airflow": "1500 cfm", "heat.static.supply": "0.80 inH2O"}
)
"""The statics with heat on lie outside the fan table, so that the airflow comes of the rise."""
BY_HEAT = "iheatcool.com, airflow by the rise of electric heat (test_airflow_from_rise)"
PRESSURE = "ASHRAE Fundamentals 2017, ch. 1, table 1: 89 875 of 101 325 Pa (test_ashrae_fundamentals)"
FIT = "DOE docket EERE-2014-BT-STD-0048-0098, appendix 7-C; 1200 cfm at 0.50 is ours (test_doe_furnace_fans)"


def fitted(a: float, b: float) -> EquipmentFile:
    """A unit whose fan is DOE's fit through 1200 cfm at 0.50 in. w.c., a row for each 0.01."""
    start = 1200 - a * 0.5 - b * 0.25
    statics = [n / 100 for n in range(10, 121)]
    rows = ", ".join(f'[{s}, {start + a * s + b * s**2:.3f}, ""]' for s in statics)
    return unit(ON_240, blower(rows))


def statics(supply_side: str, return_side: str) -> dict[str, str]:
    """Both statics in cooling."""
    return {
        "blower.static.supply": f"{supply_side} inH2O",
        "blower.static.return": f"-{return_side} inH2O",
    }


AIR = [
    # 60 171 Btu/h by the factor of the source, 3.414 a watt, are by ours the watts of 75.04 A.
    row(
        "published",
        "235 V and 60 171 Btu/h raise air by 36 °F",
        BY_HEAT,
        BY_RISE,
        READ | drawn("37.52", stages=2),
        "BL-11 unit.measured",
        "pass",
        {"1548": "1548 cfm"},
        warmed("74", "92", "124"),
        "fail",
    ),
    row(
        "own_arithmetic",
        "235 V and 75 A raise air by 36 °F: 17 625 W x 3.412142 / 1.08 / 36",
        BY_HEAT,
        BY_RISE,
        READ | drawn("37.50", stages=2),
        "BL-11 unit.measured",
        "pass",
        {"1547": "1547 cfm"},
        warmed("74", "92", "124"),
        "fail",
    ),
    row(
        "published",
        "standard air at 1000 m",
        PRESSURE,
        unit(ON_240, blower(), kit("9.6 kW", "240 V", CIRCUIT, least_airflow="1000 cfm")),
        {"identity.altitude": "1000 m"},
        "BL-11 unit.predicted",
        "pass",
        {"0.887": "0.887"},
        {"identity.altitude": "4000 m"},
        "fail",
    ),
    row(
        "own_arithmetic",
        "a permanent-split-capacitor fan against 0.59",
        FIT,
        fitted(49.0, -570.0),
        statics("0.2740", "0.3195"),
        "BL-9 unit",
        "pass",
        {"1146": "1146 cfm"},
        statics("0.60", "0.50"),
        "fail",
    ),
    row(
        "own_arithmetic",
        "a constant-airflow fan against 0.65",
        FIT,
        fitted(99.0, -103.0),
        statics("0.30", "0.35"),
        "BL-9 unit",
        "pass",
        {"1197": "1197 cfm"},
        {"blower.design_airflow": "1500 cfm"},
        "fail",
    ),
    row(
        "own_arithmetic",
        "0.30 and 0.35 together, the highest 0.50",
        "supply + |return|",
        fitted(99.0, -103.0),
        statics("0.30", "0.35"),
        "BL-5 tier.only.measured",
        "fail",
        {"0.65": "0.65 in. w.c."},
        statics("0.30", "0.15"),
        "pass",
    ),
]

# ---- a house and its heat pump

LOCKOUT = topic("lockout", "outdoor-lockout", {"f20": '"20 degF"', "f30": '"30 degF"', "f40": '"40 degF"'})
DELAY = topic("delay", "auxiliary-delay", {"long": '"24 min"', "short": '"11 min"'})


def house(capacity_47: str, capacity_35: str, capacity_17: str) -> EquipmentFile:
    """A unit with a kit of 10 kW beside a heat pump."""
    pump = heat_pump(capacity_47, capacity_35, capacity_17)
    return unit(ON_240, blower(), kit("10 kW", "240 V", CIRCUIT), pump, CONTROL, HEAT, LOCKOUT, DELAY)


AHRI = "AHRI 210/240-2017, region IV, 0.77 x 35 kBtu/h x (65 - T) / (65 - 5) (test_ahri_210_240)"
BY_HAND = (
    "load 2/3 k a degree below 65 °F, capacity 22 k + 7/15 k a degree above 17 °F (test_computed_by_hand)"
)
WITH_PUMP = {"identity.outdoor": "pump"}
OURS = house("36000 Btu/h", "30400 Btu/h", "22000 Btu/h")
COLD = WITH_PUMP | STILL | drawn("41.67") | warmed("70", "97")
HOUSES = [
    row(
        "published",
        "a heat pump that just carries region IV's load at 17 °F",
        AHRI,
        house("36000 Btu/h", "30224 Btu/h", "21560 Btu/h"),
        WITH_PUMP | {"heat.design_load": "26950 Btu/h", "choose:lockout": "f20"},
        "HS-2 unit",
        "pass",
        {"17": "17.0 °F"},
        {"choose:lockout": "f30"},
        "fail",
    ),
    row(
        "own_arithmetic",
        "balance point of the house by hand",
        BY_HAND,
        OURS,
        WITH_PUMP | {"choose:lockout": "f30"},
        "HS-2 unit",
        "pass",
        {"25.8": "25.8 °F"},
        {"choose:lockout": "f20"},
        "fail",
    ),
    row(
        "own_arithmetic",
        "auxiliary heat of the house by hand",
        BY_HAND,
        OURS,
        COLD,
        "HS-3 unit",
        "pass",
        {"6.92": "6.92 kW"},
        {"heat.design_load": "55000 Btu/h"},
        "fail",
    ),
    row(
        "own_arithmetic",
        "24 minutes of delay",
        "D/UA (1 - exp(-t/tau)), a quarter of 30.7 MJ/K (test_computed_by_hand)",
        OURS,
        WITH_PUMP | {"choose:delay": "long"},
        "TD-2 unit",
        "fail",
        {"2.3": "2.3 °F"},
        {"choose:delay": "short"},
        "pass",
    ),
    row(
        "own_arithmetic",
        "11 minutes of delay",
        "D/UA (1 - exp(-t/tau)), a quarter of 30.7 MJ/K (test_computed_by_hand)",
        OURS,
        WITH_PUMP | {"choose:delay": "short"},
        "TD-2 unit",
        "pass",
        {"1.1": "1.1 °F"},
        {"choose:delay": "long"},
        "fail",
    ),
]

EXAMPLES = [*WRONG_VOLTAGE, *AIR, *HOUSES]


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_finding_says_the_printed_figures_and_the_verdict(example: Example) -> None:
    """Typed as its source gives it."""
    example.says_what_is_printed()


@pytest.mark.parametrize("example", EXAMPLES)
def test_other_readings_give_another_verdict(example: Example) -> None:
    """No row passes whatever is typed."""
    example.can_fail()
