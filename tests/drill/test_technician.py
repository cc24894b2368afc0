"""What the unattended technician does for each thing that next can say."""

from __future__ import annotations

from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

import pytest

from asleft.drill.rig import RigError
from asleft.drill.technician import SimulatedClock, Stuck, act, cannot, headless, session_id
from asleft.guide import Next
from asleft.session.acts import (
    Acknowledge,
    Act,
    Cannot,
    Choose,
    Enter,
    FindingName,
    Look,
    Mend,
    Note,
    Sign,
    SwitchPower,
)
from asleft.session.payloads import CouldNot
from asleft.visit import Refused
from conftest import Played
from support import Told, demo_unit


class Says:
    """A rig that answers everything alike."""

    def __init__(self, **answer: Any) -> None:
        self._answer = answer

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The one answer."""
        return self._answer

    def close(self) -> None:
        """Nothing to do."""


def view_of(following: Next, findings: tuple[Any, ...] = ()) -> Any:
    """As much of a view as the technician looks at."""
    told = Told(demo_unit())
    return SimpleNamespace(
        next=following,
        ledger=told.ledger,
        state=told.state,
        equipment=told.equipment,
        findings=findings,
        finding=lambda key: next((f for f in findings if f.key == key), None),
    )


class Deaf:
    """A visit in which nothing that is submitted changes anything."""

    def __init__(self, following: Next, refuse: bool = False) -> None:
        self.view = view_of(following)
        self.submitted: list[tuple[Act, str]] = []
        self._refuse = refuse

    def submit(self, act: Act, typed: str, read_at: str = "") -> Any:
        """Taken, or refused."""
        self.submitted.append((act, typed))
        if self._refuse:
            raise Refused("that is not possible", "something else")
        return self.view


SITE = Next("enter", "Enter: Site.", act=Enter("identity.site"))


def test_what_is_recommended_is_chosen() -> None:
    """No rig is asked about a choice."""
    choice = Next("choose", "Choose.", act=Choose("tier"), options=("a", "b"), value="b")
    assert act(view_of(choice), Says(refused="no")) == (Choose("tier"), "b", "")


def test_cautions_are_agreed_to_and_the_record_is_signed_as_next_says() -> None:
    """Both come from next alone."""
    caution = Next("acknowledge", "Isolate.", act=Acknowledge("EL-1"))
    assert act(view_of(caution), Says()) == (Acknowledge("EL-1"), "yes", "")
    for outcome in ("commissioned", "not commissioned"):
        sign = Next("sign", "Sign.", act=Sign(), outcome=outcome)
        assert act(view_of(sign), Says()) == (Sign(), outcome, "")


def test_readings_come_from_the_rig_and_refusals_are_noted() -> None:
    """The typed answer, or why it could not be had."""
    assert act(view_of(SITE), Says(typed="Mill Lane")) == (Enter("identity.site"), "Mill Lane", "")
    assert act(view_of(SITE), Says(refused="no sign")) == (Cannot(Enter("identity.site")), "no sign", "")


def test_a_mend_refused_is_noted_against_its_finding() -> None:
    """So that next turns to other work."""
    done = Mend(FindingName("EL-2", "unit"))
    mend = Next("mend", "Mend.", act=done, finding="EL-2 unit")
    assert act(view_of(mend), Says(refused="the utility must")) == (Cannot(done), "the utility must", "")


def test_a_look_refused_is_noted_against_that_setting() -> None:
    """The visit finds what is judged of it."""
    setting, address = next(demo_unit().places())
    done = Look(setting.id, address)
    look = Next("look", "Look.", act=done)
    assert act(view_of(look), Says(refused="display dark")) == (Cannot(done), "display dark", "")


def test_a_look_refused_stands_against_a_finding_of_that_setting(played: Played) -> None:
    """As the visit records it."""
    visit = played("found:").visit
    following = visit.view.next
    visit.submit(*act(visit.view, Says(refused="display dark")))
    subject = f"setting.{following.setting}@{following.address}"
    first = next(f for f in visit.view.findings if f.subject.startswith(subject))
    assert visit.view.state.notes[-1].what == CouldNot("display dark", FindingName(first.id, subject))


def test_what_no_note_can_hold_ends_the_work() -> None:
    """Nobody can go on where that is refused."""
    with pytest.raises(Stuck, match="Say it"):
        cannot(view_of(Next("enter", "Say it.", act=Note())))


def test_power_refused_is_noted() -> None:
    """So that next turns to what can be done as power is."""
    off = Next("power", "Off.", act=SwitchPower(), state="off")
    assert act(view_of(off), Says(refused="stuck")) == (Cannot(SwitchPower()), "stuck", "")


def test_an_endless_visit_ends_with_an_error() -> None:
    """A visit that never moves is given up."""
    with pytest.raises(Stuck, match="After 5 acts"):
        headless(Deaf(SITE), Says(typed="Mill Lane"), most_acts=5)


def test_a_refusal_that_changes_nothing_is_not_noted_for_ever() -> None:
    """The same note twice with the same thing still next is the end."""
    visit = Deaf(SITE)
    with pytest.raises(Stuck, match="nothing else is open"):
        headless(visit, Says(refused="no sign"))
    assert len(visit.submitted) == 2


def test_an_answer_that_the_visit_refuses_is_the_rigs_fault() -> None:
    """A reading that cannot be is nonsense from the rig; a choice that cannot be is ours."""
    with pytest.raises(RigError, match="Mill Lane"):
        headless(Deaf(SITE, refuse=True), Says(typed="Mill Lane"))
    caution = Next("acknowledge", "Isolate.", act=Acknowledge("EL-1"))
    with pytest.raises(Stuck, match="was refused"):
        headless(Deaf(caution, refuse=True), Says())


def test_seeds_give_ids_and_days_of_their_own() -> None:
    """The same seed the same, another seed another."""
    assert session_id(3) == session_id(3) != session_id(4)
    assert len({session_id(seed) for seed in range(200)}) == 200
    assert len({SimulatedClock(seed)() for seed in range(50)}) > 40
