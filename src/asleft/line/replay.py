"""`asleft replay FILE` as text or JSON: every event, its verdicts then beside those of today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.journal import Seal, seals_of
from asleft.line.reading import Read, read_session
from asleft.line.text import dumped, say, wrapped
from asleft.review.replay import Replay
from asleft.session.state import Event

if TYPE_CHECKING:
    from asleft.journal import Contents

FINE, WRONG = 0, 1


def opened(path: Path, system: str) -> tuple[Read, Replay]:
    """A session and its replay, as far as it is verified. Raises what reading raises."""
    found = read_session(path, system)
    events = [Event.from_mapping(event) for event in found.contents.events] if found.view else []
    unit = found.view.equipment if found.view else None
    if unit is None:
        from asleft.line.reading import Unreadable

        raise Unreadable(f"{path}: {found.contents.trouble} Nothing in it is verified.")
    return found, Replay(unit, events, system)


def run(path: Path, *, as_json: bool, signers: Path | None = None, system: str = "ip") -> int:
    """Print the replay; 1 where the record is not whole, unsigned or differs. Raises what reading raises."""
    found, replay = opened(path, system)
    seals = seals_of(found.contents.events, signers)
    if as_json:
        say(dumped(as_mapping(found, replay, seals)))
    else:
        for line in text(found.contents, replay, seals):
            say(line)
    return code_of(found, replay, seals)


def code_of(found: Read, replay: Replay, seals: Sequence[Seal] = ()) -> int:
    """0 where the record is whole and signed, no seal false, and today's rules say what was shown then."""
    signed = found.view is not None and found.view.state.signature is not None
    false = any(seal.result in ("bad", "unknown") for seal in seals)
    return FINE if found.whole and signed and not false and not replay.differs else WRONG


def as_mapping(found: Read, replay: Replay, seals: Sequence[Seal]) -> dict[str, Any]:
    """The replay for a script."""
    return {
        "chain": found.chain,
        "signed": found.view is not None and found.view.state.signature is not None,
        "seals": [asdict(seal) for seal in seals],
        "events": [
            {"n": t.n, "at": t.at, "kind": t.kind, "then": list(t.then), "today": list(t.today)}
            for t in replay.all_told()
        ],
        "differs": replay.differs,
    }


def text(contents: Contents, replay: Replay, seals: Sequence[Seal]) -> Iterator[str]:
    """A line an event, the verdicts it changed below it; damage where it happened."""
    for told in replay.all_told():
        yield wrapped(f"{told.n:4} {told.at[11:19]} {told.by}: {told.what}")
        same = [verdict for verdict in told.today if verdict in told.then]
        if same:
            yield wrapped(", ".join(same), "       ")
        for word, here, there in (("then", told.then, told.today), ("today", told.today, told.then)):
            other = [verdict for verdict in here if verdict not in there]
            if other:
                yield wrapped(f"DIFFERS, only {word}: " + ", ".join(other), "       ")
        for trouble in told.troubles:
            yield wrapped(f"! {trouble}", "       ")
    if contents.trouble:
        yield wrapped(f"! {contents.chain.value.upper()} here: {contents.trouble}")
    for seal in seals:
        yield wrapped(f"Seal: {seal.told}")
    yield "Differs from today's rules." if replay.differs else "Today's rules say what was shown then."
