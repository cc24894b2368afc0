"""Which chart belongs to which pane and topic."""

from __future__ import annotations

import pytest

from asleft.charts import CHARTS, chart_for, charts_of
from asleft.equipment.controls import Role
from asleft.session.fields import PANES
from charts.conftest import UNITS, signed, views


def test_every_chart_belongs_to_a_pane_and_to_roles_that_exist() -> None:
    """The table names nothing that is not there."""
    for listed in CHARTS:
        assert listed.pane in PANES
        assert set(listed.roles) <= set(Role.__args__)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("pane", "role", "id"),
    [
        ("electrical", "", "wiring"),
        ("blower", "", "fans-cooling"),
        ("blower", "blower-tier", "fans-cooling"),
        ("heat", "outdoor-lockout", "house-load"),
        ("heat", "restart", "house-load"),
        ("delay", "auxiliary-delay", "room-falls"),
        ("sequence", "", "plan-route"),
    ],
)
def test_a_pane_shows_its_chart(pane: str, role: str, id: str) -> None:
    """For the topic in hand, or the pane's first."""
    chart = chart_for(signed("tarnfield-lowmoor-36"), pane, role)
    assert chart is not None
    assert chart.id == id
    assert charts_of(signed("tarnfield-lowmoor-36"), pane, role)[0].id == id


@pytest.mark.parametrize("pane", ["identity", "signoff"])
def test_a_pane_without_a_chart_has_none(pane: str) -> None:
    """And the page of charts begins with the first of all."""
    view = signed("tarnfield-lowmoor-36")
    assert chart_for(view, pane) is None
    assert [chart.id for chart in charts_of(view, pane)] == [chart.id for chart in charts_of(view)]


def test_a_unit_without_controls_or_kits_has_only_what_concerns_it() -> None:
    """A bare air handler: its circuit and its fan table."""
    assert [chart.id for chart in charts_of(signed("quillfen-heron"))] == ["wiring", "fans-cooling"]


@pytest.mark.parametrize("unit", UNITS)
def test_every_chart_says_in_a_sentence_what_it_shows(unit: str) -> None:
    """A note of at most two sentences, at every stage of a visit."""
    for view in views(unit):
        for chart in charts_of(view):
            assert chart.title
            assert chart.note.endswith(".")
            assert len(chart.note) < 260


@pytest.mark.parametrize("unit", UNITS)
def test_notes_and_ids_are_told_apart(unit: str) -> None:
    """No two charts of a unit have one id."""
    ids = [chart.id for chart in charts_of(signed(unit))]
    assert len(ids) == len(set(ids))
