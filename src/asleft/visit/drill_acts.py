"""Acts that only a drill has: a fault reported with its evidence, a hint that was asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from asleft.session.acts import Hint
from asleft.session.fields import field_of
from asleft.session.payloads import Hinted, Reported
from asleft.visit.refusal import Refused
from asleft.visit.words import near

if TYPE_CHECKING:
    from asleft.visit.view import View

BY = re.compile(r"\s+by(?:\s+|$)", re.IGNORECASE)
_PLACE = re.compile(r"[A-Za-z0-9._-]{1,40}")
RIGHT = (
    "KIND[@PLACE] by EVIDENCE[, EVIDENCE]; evidence is a field, SETTING@ADDRESS, the number of an event, or"
    " a finding as ID/SUBJECT"
)


def reported(view: View, typed: str) -> Reported:
    """A fault reported: its kind, its place where that is said, and what shows it. Raises Refused."""
    # The kinds of fault bring every room of physics with them, which no other act needs.
    from asleft.installation.faults import FAULTS

    _in_a_drill(view, "report a fault")
    parts = BY.split(typed, maxsplit=1)
    named, _, place = parts[0].strip().partition("@")
    kind, place = _kind(named.strip()), place.strip()
    if place and not _PLACE.fullmatch(place):
        raise Refused(f"{place!r} is no place", "letters, digits, dots and hyphens, such as 1.l2")
    tokens = [token.strip() for token in parts[1].split(",") if token.strip()] if len(parts) == 2 else []
    if not tokens:
        raise Refused("no evidence was named", RIGHT)
    evidence = sorted({n for token in tokens for n in _events(view, token)})
    text = f"{FAULTS[kind].called}{f' at {place}' if place else ''}, by {', '.join(tokens)}"
    return Reported(text, kind, place, tuple(evidence))


def hinted(view: View, act: Hint, typed: str) -> Hinted:
    """A hint that the rig gave. Raises Refused."""
    _in_a_drill(view, "ask for a hint")
    following = next_hint(view)
    if act.n != following:
        raise Refused(f"'{act.n}' is not the next hint", str(Hint(following)))
    if not typed:
        raise Refused("nothing was typed", "the hint as the drill gives it")
    return Hinted(typed, following)


def next_hint(view: View) -> int:
    """The number of the hint that can be asked for now; taken back or not, a hint was read."""
    return 1 + max((e.what.n for e in view.state.history if isinstance(e.what, Hinted)), default=0)


def _in_a_drill(view: View, what: str) -> None:
    if not view.state.drilled:
        raise Refused(f"this is no drill, and there is nothing to {what} to", "asleft drill begins one")


def _kind(named: str) -> str:
    from asleft.installation.faults import FAULTS

    wanted = named.casefold()
    for kind, known in FAULTS.items():
        if wanted in (kind, known.called.casefold()):
            return kind
    right = near(wanted.replace(" ", "-"), FAULTS) or "asleft help drill lists them"
    raise Refused(f"{named!r} is no kind of fault", right)


def _events(view: View, token: str) -> Iterator[int]:
    """The events that a piece of evidence is. Raises Refused where it is none."""
    state = view.state
    if token.isascii() and token.isdigit():
        if not any(e.n == int(token[:9]) for e in state.history) or int(token[:9]) in state.retracted:
            raise Refused(f"there is no event {token} that stands", f"a number from 1 to {state.last_n}")
        yield int(token)
    elif field_of(token) is not None:
        entry = state.latest(token)
        if entry is None:
            raise Refused(f"nothing was entered for {token}", "take the reading first")
        yield entry.n
    elif acts := [a for a in state.acts if token in (a.setting, f"{a.setting}@{a.address}")]:
        yield acts[-1].n
    else:
        yield from _of_a_finding(view, token)


def _of_a_finding(view: View, token: str) -> Iterator[int]:
    id, _, subject = token.partition("/")
    found: list[Any] = [f for f in view.findings if f.id == id and (f.subject == subject or not subject)]
    failed = [f for f in found if f.failed]
    if not found:
        right = "a field, SETTING@ADDRESS, the number of an event, or a finding as asleft check prints it"
        raise Refused(f"{token!r} is no evidence", right)
    rests = [n for f in failed or found for n in f.rests_on]
    if not rests:
        raise Refused(f"{token} rests on nothing that was entered", "name a reading that shows it")
    yield from rests
