"""No bookkeeping opens a guard: what is taken back, and what is brought back, is judged by what it leaves.

Each visit here was led past a guard before: by a retraction, by a retraction of one, by the undo of the
screen, by going on from a damaged file, by opening it again later.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.checks.lapses import stands
from asleft.drill.rig import BuiltIn
from asleft.drill.technician import act
from asleft.equipment.library import find, instruments
from asleft.journal import classify
from asleft.session.acts import Acknowledge, SwitchPower, Write
from asleft.session.payloads import Acknowledged, Powered, Resumed, WroteSetting
from asleft.visit import Refused, View, Visit
from asleft.visit.carrying import carry_on
from faults.walks import Base
from played import blocks, place_of

Told = Callable[[View], bool]


def _until(visit: Visit, rig: BuiltIn, reached: Told) -> None:
    for _ in range(400):
        if reached(visit.view):
            return
        visit.submit(*act(visit.view, rig))
    raise AssertionError("never came so far")


def _last(visit: Visit, kind: type) -> int:
    return max(e.n for e in visit.view.state.history if isinstance(e.what, kind))


def _isolated(view: View) -> bool:
    return view.state.power == "off" and stands(view.ledger, "EL-1")


def _on_again(view: View) -> bool:
    return view.state.power == "on" and any(p.state == "off" for p in view.state.powered)


def test_power_that_was_on_leaves_nothing_proved_dead_when_it_is_taken_back(
    visit: Visit, rig: BuiltIn
) -> None:
    """EL-1 lapsed with power on; taking that event back does not prove the unit dead."""
    _until(visit, rig, _isolated)
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    visit.enter(f"retract:{_last(visit, Powered)}", "slip")
    assert visit.view.state.power == "off"
    assert not stands(visit.view.ledger, "EL-1")
    with pytest.raises(Refused, match="EL-1"):
        visit.enter("electrical.circuit.1.device", "60 A")


def test_taking_back_that_power_is_off_wants_what_power_on_wants(visit: Visit, rig: BuiltIn) -> None:
    """The record would say that power is on: nobody clear of it, no locks off."""
    _until(visit, rig, _isolated)
    off = _last(visit, Powered)
    with pytest.raises(Refused, match="EL-19") as refused:
        visit.enter(f"retract:{off}", "slip")
    assert refused.value.holds
    assert visit.view.state.power == "off"
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter(f"retract:{off}", "slip")
    assert visit.view.state.power == "on"


def test_a_write_that_allows_heat_comes_back_only_where_it_may_be_made(visit: Visit, rig: BuiltIn) -> None:
    """Undone, then a hold opens, then brought back: refused as the write itself would be."""

    def enabling(view: View) -> bool:
        following = view.next.act
        return isinstance(following, Write) and "enabling heat" in _guards(view, following)

    _until(visit, rig, enabling)
    visit.submit(*act(visit.view, rig))
    written = _last(visit, WroteSetting)
    visit.enter(f"retract:{written}", "slip")
    undone = visit.view.state.last_n
    oriented = visit.view.state.latest("identity.orientation")
    assert oriented is not None
    visit.enter(f"retract:{oriented.n}", "not looked at")
    with pytest.raises(Refused, match="ID-3"):
        visit.enter(f"retract:{undone}", "was right")
    assert written in visit.view.state.retracted


def test_a_write_made_inside_comes_back_only_where_hands_may_be_inside() -> None:
    """Undone, power on and off since: the unit was not proved dead again."""
    unit, seed = "osmere-corrie-24", 3
    begun = Base(find(unit), place_of(seed, unit), seed, ())
    visit, rig = begun.visit(()), begun.unit()
    _until(visit, rig, lambda view: _isolated(view) and isinstance(view.next.act, Write))
    visit.submit(*act(visit.view, rig))
    visit.enter(f"retract:{_last(visit, WroteSetting)}", "slip")
    undone = visit.view.state.last_n
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    visit.enter("power", "off")
    with pytest.raises(Refused, match="EL-1"):
        visit.enter(f"retract:{undone}", "was right")


def test_a_reading_that_was_taken_comes_back_whatever_lapsed_since(visit: Visit, rig: BuiltIn) -> None:
    """What was read was read: nobody puts a hand in to bring it back."""
    _until(visit, rig, _isolated)
    visit.enter("electrical.circuit.1.device", "60 A")
    visit.enter(f"retract:{visit.view.state.last_n}", "slip")
    undone = visit.view.state.last_n
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    visit.enter(f"retract:{undone}", "was right")
    assert visit.view.state.latest("electrical.circuit.1.device") is not None


def _guards(view: View, write: Write) -> tuple[str, ...]:
    return next((s.guards for s in view.plan if s.act == write), ())


def test_heat_energised_again_wants_everybody_clear_again(visit: Visit, rig: BuiltIn) -> None:
    """A power-off that is taken back stays a lapse: EL-19 was given for another time."""
    _until(visit, rig, _on_again)
    assert stands(visit.view.ledger, "EL-19")
    visit.enter("power", "off")
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter(f"retract:{_last(visit, Acknowledged)}", "not so")
    with pytest.raises(Refused, match="EL-19"):
        visit.enter(f"retract:{_last(visit, Powered)}", "slip")


def test_undo_of_the_screen_is_judged_alike(visit: Visit, rig: BuiltIn) -> None:
    """F6 twice is a retraction like any other."""
    _until(visit, rig, lambda view: view.state.power == "off")
    with pytest.raises(Refused, match="EL-19"):
        visit.undo()


def test_hands_that_go_in_after_it_end_all_clear(visit: Visit, rig: BuiltIn) -> None:
    """EL-19 said before the covers were off again says nothing."""
    _until(visit, rig, _isolated)
    visit.enter("acknowledge:EL-19", "yes")
    assert stands(visit.view.ledger, "EL-19")
    visit.enter("electrical.circuit.1.device", "60 A")
    assert not stands(visit.view.ledger, "EL-19")
    assert visit.forbidden(SwitchPower()) is not None


def test_going_on_from_damage_nobody_knows_whether_power_is_on(
    visit: Visit, rig: BuiltIn, tmp_path: Path
) -> None:
    """The event that switched it on may be the one that was lost."""
    _until(visit, rig, _isolated)
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    data = visit.path.read_bytes()
    damaged = tmp_path / "damaged.toml"
    damaged.write_bytes(b"".join(blocks(data)[:-1]) + b"\n[[event]]\nn = nonsense\n")
    named = {i.id: i for i in instruments()}
    gone_on = carry_on(damaged, named, by=visit.by, clock=visit._clock, session_id="carried")
    try:
        assert gone_on.view.state.power == "on"
        for id in ("EL-1", "EL-19"):
            assert not stands(gone_on.view.ledger, id), id
        again = classify(gone_on.path.read_bytes())
        assert again.chain == "whole"
    finally:
        gone_on.close()


CASES = {
    "the same hour": ("2031-05-04T10:00:00Z", "Ada", "", ()),
    "four hours": ("2031-05-04T13:00:00Z", "Ada", "", ()),
    "a second more": ("2031-05-04T13:00:01Z", "Ada", "", ("EL-1", "EL-19")),
    "a month": ("2031-06-04T09:00:00Z", "Ada", "", ("EL-1", "EL-18", "EL-19")),
    "a clock set back": ("2031-05-04T08:59:59Z", "Ada", "", ("EL-1", "EL-19")),
    "another person": ("2031-05-04T09:01:00Z", "Bo", "", ("EL-1", "EL-18", "EL-19")),
    "past midnight there": ("2031-05-04T10:00:00Z", "Ada", "+14:30", ("EL-1", "EL-18", "EL-19")),
    "before midnight there": ("2031-05-04T12:59:00Z", "Ada", "-09:00", ()),
}


@pytest.mark.parametrize("case", CASES)
def test_what_lapses_when_work_is_resumed(case: str) -> None:
    """More than four hours, another date where the unit stands, another person."""
    from support import Told as Session
    from support import demo_unit, event

    at, by, zone, lapsed = CASES[case]
    told = Session(demo_unit())
    told.event("powered", state="off")
    from asleft.session.state import fold

    for n, id in enumerate(("EL-1", "EL-18", "EL-19"), told.state.last_n + 1):
        told.state = fold(told.state, event(n, "acknowledged", id=id, at="2031-05-04T09:00:00Z"))
    resumed = event(told.state.last_n + 1, "resumed", at=at, by=by, **({"zone": zone} if zone else {}))
    told.state = fold(told.state, resumed)
    assert isinstance(resumed.what, Resumed)
    assert tuple(id for id in ("EL-1", "EL-18", "EL-19") if not stands(told.ledger, id)) == lapsed
    assert Acknowledge("EL-1") in {Acknowledge(id) for id in told.state.acknowledged}
