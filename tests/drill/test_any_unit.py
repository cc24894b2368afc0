"""Any valid equipment file has sites: what a maker leaves out is drawn from what the file does say."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.site import site
from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment, FanRow, Limits
from asleft.quantity import parse
from asleft.session.fields import Situation, applicable
from asleft.unattended import play
from support import demo_unit

LEAST = """format = 1
[unit]
id = "mote"
maker = "Quillfen"
model = "Mote"
[[supply]]
id = "a"
nominal = "240 V"
lowest = "210 V"
highest = "252 V"
[[blower.tier]]
id = "t"
label = "The only one"
[[blower.tier.speed]]
use = "heating"
units = ["Pa", "L/s", "W"]
rows = [[0, 300, ""], [90, "", ""], [200, 100, ""]]
"""


def _without(**changes: object) -> Equipment:
    return demo_unit().model_copy(update=changes)


def _blower(**changes: object) -> Equipment:
    return _without(blower=demo_unit().blower.model_copy(update=changes))


def _no_power(unit: Equipment) -> Equipment:
    """The same unit, every power cell of its fan tables blank."""
    tiers = tuple(
        tier.model_copy(
            update={
                "speed": tuple(
                    speed.model_copy(
                        update={"rows": tuple(FanRow(r.static_pa, r.airflow_m3s, None) for r in speed.rows)}
                    )
                    for speed in tier.speed
                )
            }
        )
        for tier in unit.blower.tier
    )
    return unit.model_copy(update={"blower": unit.blower.model_copy(update={"tier": tiers})})


def _without_kits() -> Equipment:
    """No kit, hence no topic whose options name one."""
    unit = demo_unit()
    topics = tuple(t for t in unit.topic if t.role != "auxiliary-heat")
    carried = {id for t in topics for o in t.option for id in o.set}
    settings = tuple(s for s in unit.setting if s.id in carried)
    return unit.model_copy(update={"heater": (), "topic": topics, "setting": settings})


VARIANTS = {
    "no capacity": lambda: _without(unit=demo_unit().unit.model_copy(update={"cooling_capacity": None})),
    "no heat pump": lambda: _without(heat_pump=None),
    "no kit": _without_kits,
    "no kit, no heat pump": lambda: _without_kits().model_copy(update={"heat_pump": None}),
    "no limits": lambda: _without(limits=Limits()),
    "no control circuit": lambda: _without(control_circuit=None),
    "no airflow range": lambda: _blower(lowest_airflow=None, highest_airflow=None),
    "no blower current": lambda: _blower(full_load_current=None),
    "no power": lambda: _no_power(demo_unit()),
    "no factory values": lambda: _without(
        setting=tuple(s.model_copy(update={"factory": None}) for s in demo_unit().setting)
    ),
    "the least that a file may say": lambda: load_bytes(LEAST.encode(), "mote.toml").equipment,
}


@pytest.mark.parametrize("variant", VARIANTS)
def test_a_file_that_says_less_has_sites_all_the_same(variant: str) -> None:
    """Three seeds each."""
    unit = VARIANTS[variant]()
    for seed in (1, 2, 3):
        assert site(seed, unit).seed == seed


def test_where_no_capacity_is_given_the_ducts_are_designed_for_a_fan_table() -> None:
    """The airflow asked for lies between the ends of the only table, 100 to 300 L/s."""
    unit = load_bytes(LEAST.encode(), "mote.toml").equipment
    for seed in range(1, 6):
        design = parse(site(seed, unit).job["blower.design_airflow"], "airflow").value
        assert 0.100 < design < 0.300


def test_the_least_that_a_file_may_say_is_worked_to_a_signature(tmp_path: Path) -> None:
    """No setting, no kit, no heat pump, no power figure: what can be measured is, and it is signed."""
    job = play(tmp_path, load_bytes(LEAST.encode(), "mote.toml"), 1)
    assert b'outcome = "commissioned"' in job.path.read_bytes()


def test_a_unit_that_cannot_warm_is_asked_nothing_of_heat() -> None:
    """No load, no winter temperature: nothing would be held against them."""
    for unit, asked in ((VARIANTS["no kit, no heat pump"](), False), (_without_kits(), True)):
        drawn = applicable(unit, Situation())
        assert ("heat.design_load" in drawn) == asked
        assert ("heat.design_temperature" in drawn) == asked


KIT = """[blower]
full_load_current = "2.8 A"
[[heater]]
id = "k"
label = "5 kW kit"
power = "5 kW"
voltage = "240 V"
least_airflow = "120 L/s"
[[heater.stage]]
id = "1"
power = "5 kW"
[[heater.circuit]]
stages = ["1"]
feeds_blower = true
[limits]
leaving_air = "160 degF"
"""


def test_a_kit_at_a_blower_without_a_choice_is_proved_from_the_ducts(
    tmp_path: Path,
) -> None:
    """Its heating airflow is predicted from statics without heat, so the hold that guards heat can open."""
    said = LEAST.replace("[[blower.tier]]", KIT.partition("[[heater]]")[0] + "[[blower.tier]]", 1)
    text = said + "[[heater]]" + KIT.partition("[[heater]]")[2]
    job = play(tmp_path, load_bytes(text.encode(), "mote.toml"), 1)
    assert job.outcome == "commissioned"
