"""A supervisor at the program: an audit on the screen; sessions replayed, printed, accepted or sent back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from asleft.given import FINE, instruments


def audited(paths: Sequence[Path], *, full: bool, signers: Path | None) -> int:
    """Show an audit until the supervisor leaves; what is chosen in it is done, and it comes back.

    Raises OSError where a path is not there or the signers file cannot be read.
    """
    from asleft.line.audit import cache_file
    from asleft.line.troubles import sentence
    from asleft.review.going_on import Auditing
    from asleft.review.store import Run
    from asleft.tui.audit import AuditApp, AuditScreen, Bookmark

    for path in (*paths, *((signers,) if signers else ())):
        path.stat()
    place = Bookmark()
    with Run(datetime.now(UTC)) as run:
        work = Auditing(paths, run, cache=None if full else cache_file(), signers=signers)
        try:
            while chosen := AuditApp(AuditScreen(work, place, judged)).run():
                try:
                    place.notice = _done(chosen.do, chosen.path, signers)
                except Exception as error:  # noqa: BLE001  no traceback ever reaches a person
                    place.notice = sentence(error)
        finally:
            work.stop()
    return FINE


def replayed(path: Path, *, system: str = "ip", signers: Path | None = None) -> int:
    """Show a session event by event; whose its seals are is told afterwards, where a signers file is given.

    Gives the exit code; raises what reading raises.
    """
    from asleft.journal import seals_of
    from asleft.line.replay import code_of, opened
    from asleft.line.text import say
    from asleft.tui.replay import run_replay

    found, replay = opened(path, system)
    seals = seals_of(found.contents.events, signers) if signers else ()
    run_replay(replay, path, str(found.contents.header["session"]["mode"]), system, found.contents.trouble)
    for seal in seals:
        say(f"Seal: {seal.told}")
    return code_of(found, replay, seals)


def judged(path: Path, outcome: str, why: str) -> None:
    """Accept a session or send it back, with the reason. Raises what opening and submitting raise."""
    from asleft.desk import technician
    from asleft.line.places import real_clock
    from asleft.visit import Visit

    visit = Visit.open(path, instruments(), by=technician(), clock=real_clock)
    try:
        visit.submit(f"review:{outcome}", why)
    finally:
        visit.close()


def _done(do: str, path: Path, signers: Path | None) -> str:
    """Do what was chosen for a session; what is to be said of it."""
    if do == "replay":
        replayed(path, signers=signers)
        return ""
    from asleft.line.report import run

    code = run([path], signers=signers)
    return f"The page of {path.name} is in this folder." if code in (0, 1) else "No page was made."
