"""A supervisor at the program: an audit on the screen, and sessions accepted or sent back from it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from asleft.given import FINE, instruments


def audited(paths: Sequence[Path], *, full: bool, signers: Path | None) -> int:
    """Show an audit until the supervisor leaves.

    Raises OSError where a path is not there or the signers file cannot be read.
    """
    from asleft.line.audit import cache_file
    from asleft.review.store import Run
    from asleft.tui.audit import AuditApp, Standing

    for path in (*paths, *((signers,) if signers else ())):
        path.stat()
    kept = None if full else cache_file()
    with Run(datetime.now(UTC)) as run:
        AuditApp(run, paths, cache=kept, signers=signers, standing=Standing(), judge=judged).run()
    return FINE


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
