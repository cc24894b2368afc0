"""Guards of the program taken away one at a time, in this process alone: the oracle must miss each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from itertools import count, islice
from typing import Any

import pytest

from asleft import checks
from asleft.checks import lapses
from asleft.checks.finding import Finding
from asleft.session.changes import Changes
from asleft.session.doubts import Doubts
from asleft.session.ledger import Ledger
from asleft.session.payloads import Powered, Resumed, Used
from asleft.session.state import State
from asleft.visit import guarding
from asleft.visit.view import look
from asleft.visit.visit import Visit
from walks.walk import batch, kinds, start_of
from walks.world import CHANGED

Patch = Callable[[pytest.MonkeyPatch], None]

SIGNING = "signing as commissioned"
HELD: Mapping[str, tuple[str, ...]] = {
    "live readings": ("EL-18",),
    "hands inside": ("EL-1", "EL-25"),
    "recording isolation": ("EL-25",),
    "power on": ("EL-19",),
    "loads on": ("EL-2", "EL-4", "EL-5", "EL-13", "EL-19"),
    "energising heat": ("EL-8", "EL-9", "EL-10", "EL-23", "EL-26", "ID-4"),
    "enabling heat": ("ID-3", "BL-11 predicted", "HS-5 predicted"),
    SIGNING: ("BL-11 measured", "HS-5 measured", "EL-22", "HS-10", "BL-16", "SO-2", "SO-6"),
    "signing as not commissioned": ("SO-3",),
}
"""What a hold guards, in the words that findings have for it."""


def _is(finding: Finding, hold: str) -> bool:
    id, _, part = hold.partition(" ")
    return finding.id == id and finding.subject.endswith(part)


def _without(hold: str, act: str) -> Patch:
    """A hold no longer keeps anybody from an act; nor from signing through the check that sums holds up."""
    real = guarding.holds_on

    def kept(findings: tuple[Finding, ...], acts: tuple[str, ...]) -> tuple[Finding, ...]:
        found = real(findings, acts)
        if act == SIGNING and hold != "SO-2":
            rest = (f for f in findings if f.open and f.id not in ("SO-2", "SO-3") and not _is(f, hold))
            if not any(True for _ in rest):
                found = tuple(f for f in found if f.id != "SO-2")
        return tuple(f for f in found if not (_is(f, hold) and set(acts) & set(f.guards) <= {act}))

    return lambda patch: patch.setattr(guarding, "holds_on", kept)


def _standing(still: Callable[[str, Any, Any], bool]) -> Patch:
    """What `still` tells of, by check, event before and event, ends no word given."""
    real = lapses._ends

    def ends(equipment: Any, id: str, before: Any, event: Any) -> bool:
        return not still(id, before, event) and real(equipment, id, before, event)

    return lambda patch: patch.setattr(lapses, "_ends", ends)


def _resuming(**changed: Any) -> Patch:
    """Going on counts as if the same person had come sooner, the same day, or with nothing damaged."""
    real = lapses._ends

    def ends(equipment: Any, id: str, before: Any, event: Any) -> bool:
        if isinstance(event.what, Resumed) and before is not None:
            what = replace(event.what, damaged=event.what.damaged and "damaged" not in changed)
            event = replace(event, what=what, by=before.by if "by" in changed else event.by)
            if "at" in changed and event.at[:10] == before.at[:10]:
                event = replace(event, at=before.at)
            if "day" in changed and event.at[:10] != before.at[:10]:
                event = replace(event, at=before.at, what=replace(what, zone=""))
        return real(equipment, id, before, event)

    return lambda patch: patch.setattr(lapses, "_ends", ends)


def _any_power(patch: pytest.MonkeyPatch) -> None:
    real = guarding._pass
    patch.setattr(guarding, "_pass", lambda view, wants: real(view, replace(wants, power="")))


def _unguarded_retraction(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(guarding, "_guard_what_is_left", lambda view, what: None)


def _first_act_free(patch: pytest.MonkeyPatch) -> None:
    def seen(visit: Visit, state: State, at: str = "") -> Any:
        view = look(visit.equipment.equipment, state, visit.system)
        visit._verdicts = view.verdicts()
        return view

    patch.setattr(Visit, "_seen", seen)


def _power_known_after_damage(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(State, "power", property(lambda state: state.powered[-1].state if state.powered else "on"))


def _write_taken_back_believed(patch: pytest.MonkeyPatch) -> None:
    for room in ("checks.signoff", "sequence.steps"):
        patch.setattr(f"asleft.{room}.unsure", lambda ledger, place: False)


def _proof_that_stays(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Changes, "_stayed", property(lambda changes: ()))


def _writes_that_move_nothing_else(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Doubts, "disturbed", property(lambda doubts: {}))
    patch.setattr(Doubts, "put_back", property(lambda doubts: {}))


def _repairs_of_their_own_readings(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Changes, "_parts", lambda changes, mend: ())


def _minutes_at_any_time(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Ledger, "too_soon_s", lambda ledger, id: 0.0)


def _nothing_urgent(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(checks, "_endangers", lambda rule, finding: False)


AWAY: Mapping[str, Patch] = {
    **{f"{hold} | {act}": _without(hold, act) for act, holds in HELD.items() for hold in holds},
    "EL-1 ends with power on": _standing(
        lambda id, _, e: id == "EL-1" and isinstance(e.what, Powered) and e.what.state == "on"
    ),
    "EL-19 ends with power off": _standing(
        lambda id, _, e: id == "EL-19" and isinstance(e.what, Powered) and e.what.state == "off"
    ),
    "EL-19 ends when hands go in": _standing(
        lambda id, _, e: id == "EL-19" and not isinstance(e.what, Powered | Resumed)
    ),
    "EL-18 ends with another meter": _standing(lambda id, _, e: id == "EL-18" and isinstance(e.what, Used)),
    "words end with another person": _resuming(by=True),
    "words end after a long pause": _resuming(at=True),
    "words end with another date": _resuming(day=True),
    "words end with damage": _resuming(damaged=True),
    "power unknown after damage": _power_known_after_damage,
    "power as an act wants it": _any_power,
    "the first act after opening": _first_act_free,
    "what a retraction leaves": _unguarded_retraction,
    "a write taken back": _write_taken_back_believed,
    "absence of voltage ends with power on": _proof_that_stays,
    "what a write leaves unsure": _writes_that_move_nothing_else,
    "how far a repair reaches": _repairs_of_their_own_readings,
    "ten minutes take ten minutes": _minutes_at_any_time,
    "failing holds first": _nothing_urgent,
}
"""Every guard, by its name."""

BREAKS: Mapping[str, tuple[str, ...]] = {
    "EL-1 ends with power on": ("EL-1",),
    "EL-19 ends with power off": ("EL-19",),
    "EL-19 ends when hands go in": ("EL-19",),
    "EL-18 ends with another meter": ("EL-18",),
    "words end with another person": ("EL-1", "EL-18", "EL-19"),
    "words end after a long pause": ("EL-1", "EL-19"),
    "words end with another date": ("EL-1", "EL-18", "EL-19"),
    "words end with damage": ("EL-1", "EL-19"),
    "power unknown after damage": ("power",),
    "power as an act wants it": ("power",),
    "the first act after opening": ("EL-1", "EL-18", "EL-19"),
    "what a retraction leaves": ("EL-19", "ID-3", "BL-11 predicted", "HS-5 predicted", "EL-1", "EL-25"),
    "a write taken back": ("truth: settings",),
    "absence of voltage ends with power on": ("EL-25",),
    "what a write leaves unsure": ("followers",),
    "how far a repair reaches": ("repairs",),
    "ten minutes take ten minutes": ("HS-16 times",),
    "failing holds first": ("failing first",),
}
"""The rules that a guard taken away breaks, where it is not its hold alone."""


AIMS: Mapping[str, str] = {"what a write leaves unsure": "followers"}
"""The attack that shows it soonest, where it is not one on the hold itself."""


def breaks(name: str, rule: str, act: str) -> bool:
    """Whether a breach is what comes of a guard taken away."""
    hold, parted, guarded = name.partition(" | ")
    if parted:
        return (rule, act) == (hold, guarded)
    return rule in BREAKS[name]


@contextmanager
def without(name: str) -> Iterator[None]:
    """The program with one guard taken away."""
    with pytest.MonkeyPatch.context() as patch:
        AWAY[name](patch)
        yield


A_VISIT = 10
"""Walks made in one visit, before the next unit is tried."""


def missed_after(name: str, within: int, rules: frozenset[str]) -> tuple[str, int]:
    """A guard, and how many walks it takes without it until the oracle tells of it; 0 where it never does.

    Walks are aimed at the hold where it is one that readings open.
    """
    rounds, listed = -(-within // A_VISIT), len(kinds())
    # Of each round the changed units first, which stand last: they have every hold.
    order = [at % listed for at in range(-len(CHANGED), listed - len(CHANGED))]
    turns = (turn * listed + at for turn in count() for at in order)
    for made, number in enumerate(islice(turns, rounds), 1):
        # The visit that walks begin in is worked by the whole program.
        start_of(number)
        with without(name):
            told = batch(
                number, A_VISIT, rules, aim=name.partition(" | ")[0] if "|" in name else AIMS.get(name, "")
            )
        if any(breaks(name, b.rule, b.act) for b, _ in told.breaches):
            return name, A_VISIT * made
    return name, 0
