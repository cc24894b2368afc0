"""A supervisor at the program: an audit on the screen; sessions replayed, printed, accepted or sent back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.given import FINE, instruments

if TYPE_CHECKING:
    from asleft.journal import Signer
    from asleft.session.acts import Act


def audited(paths: Sequence[Path], *, full: bool, signers: Path | None) -> int:
    """Show an audit until the supervisor leaves; what is chosen in it is done, and it comes back.

    Raises OSError where a path is not there or the signers file cannot be read.
    """
    from asleft.line.audit import cache_file
    from asleft.line.seen import memory_file
    from asleft.line.troubles import sentence
    from asleft.review.going_on import Auditing
    from asleft.review.store import Run
    from asleft.tui.audit import AuditApp, AuditScreen
    from asleft.tui.audit_lines import Bookmark

    for path in (*paths, *((signers,) if signers else ())):
        path.stat()
    place = Bookmark()
    with Run(datetime.now(UTC)) as run:
        kept = None if full else cache_file()
        work = Auditing(paths, run, cache=kept, memory=memory_file(), signers=signers)
        try:
            while chosen := AuditApp(AuditScreen(work, place, acted)).run():
                try:
                    place.notice = _done(chosen.do, chosen.path, signers)
                except Exception as error:  # noqa: BLE001  no traceback ever reaches a person
                    place.notice = sentence(error)
        finally:
            work.stop()
    return FINE


def replayed(path: Path, *, system: str = "ip", signers: Path | None = None) -> int:
    """Show a session event by event, its seals among them; where a signers file is given, whose they are.

    Gives the exit code; raises what reading raises.
    """
    from asleft.line.replay import code_of, opened
    from asleft.tui.replay import run_replay

    found, replay = opened(path, system, signers)
    run_replay(replay, path, str(found.contents.header["session"]["mode"]), system, found.contents.trouble)
    return code_of(found, replay)


def acted(path: Path, act: Act, typed: str, signer: Signer) -> None:
    """Do one act in a session: accept it, send it back, seal it. Raises what opening and submitting raise."""
    from asleft.desk import technician
    from asleft.line.places import real_clock
    from asleft.line.seen import remember
    from asleft.visit import Visit

    visit = Visit.open(path, instruments(), by=technician(), clock=real_clock)
    visit.signer = signer
    try:
        visit.submit(act, typed)
    finally:
        visit.close()
    remember(path)


def _done(do: str, path: Path, signers: Path | None) -> str:
    """Do what was chosen for a session; what is to be said of it."""
    if do == "replay":
        replayed(path, signers=signers)
        return ""
    from asleft.line.report import run

    code = run([path], signers=signers)
    return f"The page of {path.name} is in this folder." if code in (0, 1) else "No page was made."
