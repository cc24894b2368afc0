"""`asleft replay FILE` as text or JSON: every event, its verdicts then beside those of today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.journal import Chain, seals_of
from asleft.line.reading import Read, Unreadable, read_session
from asleft.line.text import dumped, say, wrapped
from asleft.review.replay import Replay

if TYPE_CHECKING:
    from asleft.journal import Contents

FINE, WRONG = 0, 1


def opened(path: Path, system: str, signers: Path | None = None) -> tuple[Read, Replay]:
    """A session and its replay with its seals looked at, as far as it is verified.

    Raises what reading raises, and Unreadable where nothing is verified and there is no event to show.
    """
    found = read_session(path, system)
    replay = _replay_of(found, system, signers)
    if replay is None:
        raise Unreadable(f"{path}: {found.contents.trouble} Nothing in it is verified.")
    return found, replay


def _replay_of(found: Read, system: str, signers: Path | None) -> Replay | None:
    if found.view is None:
        return None
    contents = found.contents
    seals = seals_of(contents.events, signers)
    return Replay(found.view.equipment, found.view.state.history, system, seals)


def run(path: Path, *, as_json: bool, signers: Path | None = None, system: str = "ip") -> int:
    """Print the replay; 1 where the record is not whole, unsigned or differs. Raises what reading raises."""
    found = read_session(path, system)
    replay = _replay_of(found, system, signers)
    if as_json:
        say(dumped(as_mapping(found, replay)))
    else:
        for line in text(found.contents, replay):
            say(line)
    return code_of(found, replay)


def code_of(found: Read, replay: Replay | None) -> int:
    """0 where the record is whole and signed, no seal false, and today's rules say what was shown then."""
    signed = found.view is not None and found.view.state.signature is not None
    if not (found.whole and signed) or replay is None or any(seal.false for seal in replay.seals):
        return WRONG
    return WRONG if replay.differs else FINE


def as_mapping(found: Read, replay: Replay | None) -> dict[str, Any]:
    """The replay for a script; without events where nothing is verified."""
    return {
        "chain": found.chain,
        "signed": found.view is not None and found.view.state.signature is not None,
        "seals": [asdict(seal) for seal in (replay.seals if replay else ())],
        "events": [
            {"n": t.n, "at": t.at, "kind": t.kind, "then": list(t.then), "today": list(t.today)}
            for t in (replay.all_told() if replay else ())
        ],
        "differs": replay is not None and replay.differs,
    }


def text(contents: Contents, replay: Replay | None) -> Iterator[str]:
    """A line an event, the verdicts it changed below it; damage where it happened."""
    for told in replay.all_told() if replay else ():
        yield wrapped(f"{told.n:4} {told.at[:10]} {told.at[11:]} {told.by}: {told.what}")
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
        where = "" if contents.chain is Chain.WHOLE else f"{contents.chain.value.upper()} here: "
        yield wrapped(f"! {where}{contents.trouble}")
    for seal in replay.seals if replay else ():
        yield wrapped(f"Seal: {seal.told}")
    if replay is None:
        yield "Nothing in it is verified: there is no event to show."
    else:
        yield "Differs from today's rules." if replay.differs else "Today's rules say what was shown then."
