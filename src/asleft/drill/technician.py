"""The unattended technician: does what `next` says, takes what is recommended, never waives."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING, assert_never

from asleft.drill.answers import RigError
from asleft.drill.rig import Rig, ask
from asleft.session.acts import Cannot, Refusable
from asleft.visit import Refused

if TYPE_CHECKING:
    from asleft.session.acts import Act
    from asleft.visit import View, Visit

MOST_ACTS = 3000
"""More acts than any job takes; reaching it means that the work goes in a circle."""
STEP_S = 45
"""Simulated seconds from one event to the next."""

_FIRST_DAY = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
_DAYS = 300


class Stuck(RuntimeError):
    """The work does not go on: the same thing is asked for again and again, or nobody can do it."""


class SimulatedClock:
    """UTC that starts on a day taken from the seed and moves a fixed step an event. Reads no real clock."""

    def __init__(self, seed: int) -> None:
        digest = sha256(f"asleft clock {seed}".encode()).digest()
        minutes = int.from_bytes(digest[4:6], "big") % 360
        self._now = _FIRST_DAY + timedelta(days=int.from_bytes(digest[:4], "big") % _DAYS, minutes=minutes)

    def __call__(self) -> str:
        """The time of the next event, as `YYYY-MM-DDTHH:MM:SSZ`."""
        now = self._now
        self._now += timedelta(seconds=STEP_S)
        return f"{now:%Y-%m-%dT%H:%M:%SZ}"


def session_id(seed: int) -> str:
    """The id of the session that this seed gives."""
    return sha256(f"asleft session {seed}".encode()).hexdigest()[:16]


def act(view: View, rig: Rig) -> tuple[Act, str, str]:
    """What the technician does now, what is typed for it, and when it was read where the rig's clock says so.

    A refusal becomes a note that it cannot be done. Raises RigError, and Stuck where nobody can say more.
    """
    following = view.next
    if following.act is None:
        raise Stuck(f"Nothing can be entered for: {following.text} {following.why}")
    match following.do:
        case "choose":
            return following.act, following.value, ""
        case "acknowledge":
            return following.act, "yes", ""
        case "sign":
            return following.act, following.outcome, ""
        case "enter" | "measure_again" | "look" | "write" | "read_back" | "power" | "mend":
            answer = ask(rig, view, following.act)
            if answer.refused:
                return cannot(view), answer.refused, ""
            return following.act, answer.typed, answer.read_at
        case "nothing":
            raise Stuck(f"Nothing is left to do: {following.text}")
        case _:
            assert_never(following.do)


def headless(visit: Visit, rig: Rig, *, most_acts: int = MOST_ACTS) -> View:
    """Work a visit to its signature without a screen. Raises RigError, Stuck or SaveFailed."""
    before: tuple[Act, str, str] | None = None
    for _ in range(most_acts):
        view = visit.view
        if view.next.do == "nothing":
            return view
        done = act(view, rig)
        try:
            visit.submit(*done)
        except Refused as refused:
            if view.next.do in ("choose", "acknowledge", "sign"):
                raise Stuck(f"The next thing to do was refused: {refused}.") from refused
            raise RigError(f"The rig's answer {done[1]!r} to {done[0]} was refused: {refused}.") from refused
        if isinstance(done[0], Cannot) and visit.view.next == view.next and done == before:
            raise Stuck(f"The rig would not do it, and nothing else is open: {view.next.text} {done[1]}")
        before = done
    raise Stuck(f"After {most_acts} acts the session is not signed; the next one is: {visit.view.next.text}")


def cannot(view: View) -> Cannot:
    """The note that what is next cannot be done. Raises Stuck where none can hold that."""
    following = view.next.act
    if isinstance(following, Refusable):
        return Cannot(following)
    raise Stuck(f"The rig would not do it, and nothing else can be done: {view.next.text}")
