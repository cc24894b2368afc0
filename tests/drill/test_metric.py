"""Where supplies alternate 50 times a second, papers and instruments speak in metric units."""

from __future__ import annotations

import re

import pytest

from asleft.drill.site import site
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, units
from asleft.equipment.model import Equipment
from asleft.quantity import parse

METRIC = [u for known in units() if (u := find(known.id).equipment).supply[0].frequency == 50]
IP_UNIT = re.compile(r"(cfm|°F|in\. w\.c\.|Btu/h|ft2?|AWG)$")


@pytest.mark.parametrize("unit", METRIC, ids=lambda u: u.unit.id)
def test_nothing_is_said_in_the_units_of_another_continent(unit: Equipment) -> None:
    """Job data, instruments and conductors alike."""
    found = site(1, unit)
    said = [typed for field, typed in found.job.items() if field != "identity.site"]
    virtual = VirtualUnit(unit, found, 1)
    for field in ("blower.static.supply", "electrical.line.l1_l2"):
        said.append(virtual.answer({"do": "read", "field": field})["typed"])
    virtual.answer({"do": "power", "state": "off"})
    said.append(virtual.answer({"do": "read", "field": "electrical.circuit.1.conductor"})["typed"])
    assert said[-1].endswith(" mm2")
    assert not [typed for typed in said if IP_UNIT.search(typed)]
    flow = parse(found.job["blower.design_airflow"], "airflow").value * 1000
    assert flow == pytest.approx(round(flow / 5) * 5)


@pytest.mark.parametrize("unit", METRIC, ids=lambda u: u.unit.id)
def test_a_line_and_a_neutral_read_so_to_ground(unit: Equipment) -> None:
    """All of the voltage on one, next to nothing on the other."""
    virtual = VirtualUnit(unit, site(2, unit), 2)
    line, first, second = (
        parse(virtual.answer({"do": "read", "field": f"electrical.line.{leg}"})["typed"], "voltage").value
        for leg in ("l1_l2", "l1_ground", "l2_ground")
    )
    assert first == pytest.approx(line, rel=0.02)
    assert second < 2.0


def test_there_is_such_a_unit() -> None:
    """Else nothing above was asked."""
    assert METRIC
