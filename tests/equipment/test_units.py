"""The demo units: each file says something of its own, and together they ask every way of the format."""

from __future__ import annotations

from itertools import combinations

import pytest

from asleft.equipment.library import find, units
from asleft.equipment.model import Equipment

IDS = [known.id for known in units()]
PAIRS = list(combinations(IDS, 2))


def unit(id: str) -> Equipment:
    """A demo unit by its id."""
    return find(id).equipment


def fan_rows(id: str) -> set[tuple[float, float, float]]:
    """Every whole row of every fan table."""
    return {
        (row.static_pa, row.airflow_m3s, row.power_w)
        for tier in unit(id).blower.tier
        for speed in tier.speed
        for row in speed.rows
        if row.airflow_m3s is not None and row.power_w is not None
    }


def keyed(id: str) -> set[str]:
    """Every string of characters that is keyed."""
    return {characters for code in unit(id).code for characters in (*code.write, code.query)}


@pytest.mark.parametrize("id", IDS)
def test_a_unit_has_tiers_that_its_control_can_be_set_to(id: str) -> None:
    """Every tier is the meaning of some option, unless there is nothing to choose."""
    found = unit(id)
    topic = found.role("blower-tier")
    if topic is not None:
        assert {option.value for option in topic.option} == {tier.id for tier in found.blower.tier}


@pytest.mark.parametrize("id", IDS)
def test_every_setting_is_asked_about_and_can_be_found_by_hand(id: str) -> None:
    """A person is told how to change and to read each."""
    found = unit(id)
    for setting, address in found.places():
        procedures = [p for key in (setting.entry, address) if (p := found.procedure.get(key)) is not None]
        assert any(p.change for p in procedures), setting.id
        assert any(p.read_back for p in procedures), setting.id


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_no_two_units_share_a_figure_that_was_measured(one: str, other: str) -> None:
    """A fan table copied from one file to another would be a slip."""
    assert not fan_rows(one) & fan_rows(other)


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_no_two_units_share_a_code_or_a_label(one: str, other: str) -> None:
    """What is keyed for one means nothing to another, and no two controls name a setting alike."""
    assert not keyed(one) & keyed(other)
    labels = [{setting.label for setting in unit(id).setting} for id in (one, other)]
    assert not labels[0] & labels[1]


def test_some_unit_has_leads_keys_and_a_link_that_are_moved_with_power_off() -> None:
    """Nothing on it is keyed or displayed, and its motor has taps."""
    assert any(
        {s.entry for s in found.setting} == {"tap", "switch", "jumper"}
        and {s.power for s in found.setting} == {"off"}
        and not found.code
        and found.blower.motor == "permanent-split-capacitor"
        for found in map(unit, IDS)
    )


def test_some_unit_is_metric_with_a_line_and_a_neutral() -> None:
    """50 Hz, fan tables in Pa and L/s, and no circuit figures that only the NEC knows."""
    assert any(
        found.supply[0].frequency == 50
        and {s.phases for s in found.supply} == {1}
        and {c.minimum for kit in found.heater for c in kit.circuit} == {None}
        and 'units = ["Pa", "L/s", "W"]' in find(found.unit.id).text
        for found in map(unit, IDS)
    )


def test_some_unit_has_three_stages_in_delta_on_two_circuits() -> None:
    """Three phases for the heat, one for the blower."""
    assert any(
        kit.phases == 3
        and len(kit.stage) == 3
        and {s.connection for s in kit.stage} == {"delta"}
        and len(kit.circuit) == 2
        and found.blower.phases == 1
        for found in map(unit, IDS)
        for kit in found.heater
    )
