"""Nothing, next to nothing and the ends of what may be entered, in every number of a whole visit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from asleft.charts import charts_of, drawn
from asleft.equipment.library import find
from asleft.journal import classify
from asleft.session.events import Event
from asleft.session.fields import field_of
from asleft.session.payloads import Entered
from asleft.session.state import fold_all
from asleft.session.values import Amount
from asleft.visit.view import View, look
from played import session_bytes

TINY = 1e-300


def told_otherwise(unit: str, field: str, value: float) -> View:
    """A whole visit in which one number is another."""
    return look(find(unit).equipment, fold_all([_with(e, field, value) for e in _events(unit)]))


def _events(unit: str) -> list[Event]:
    return [Event.read(event) for event in classify(session_bytes(4, unit)[1]).events]


def _with(event: Event, field: str, value: float) -> Event:
    what = event.what
    if not isinstance(what, Entered) or what.field != field or not isinstance(what.value, Amount):
        return event
    return replace(event, what=replace(what, value=replace(what.value, value=value)))


def numbers(unit: str) -> list[tuple[str, tuple[float, ...]]]:
    """The numbers of a visit, each with what stands at the ends of what may be entered."""
    found = {}
    for event in _events(unit):
        what = event.what
        if isinstance(what, Entered) and isinstance(what.value, Amount) and (field := field_of(what.field)):
            low, high = field.plausible or (0.0, 1e30)
            found[what.field] = (low, high, *(v for v in (0.0, TINY) if low <= v))
    return list(found.items())


@pytest.mark.parametrize("turn", range(4))
def test_no_number_that_may_stand_breaks_what_is_reckoned_or_drawn(turn: int) -> None:
    """Every finding, forecast and chart is there: a quarter of the numbers at each of four turns."""
    unit = "quillfen-sorrel-90"
    for field, values in numbers(unit)[turn::4]:
        for value in values:
            view = told_otherwise(unit, field, value)
            assert view.findings
            for chart in charts_of(view):
                drawn(chart, 76, 16)


@pytest.mark.parametrize(
    ("unit", "field", "value"),
    [
        ("brinmere-staithe-60", "blower.design_airflow", 0.0),
        ("brinmere-staithe-60", "heat.design_load", TINY),
        ("garthwold-ousel-42", "electrical.stage.1.voltage", TINY),
        ("quillfen-sorrel-90", "electrical.stage.1.voltage", TINY),
    ],
)
def test_what_once_broke_it_does_not(unit: str, field: str, value: float) -> None:
    """A design of no air, a house that loses nothing, and heat from no volts."""
    view = told_otherwise(unit, field, value)
    assert all(drawn(chart, 76, 16) for chart in charts_of(view))
