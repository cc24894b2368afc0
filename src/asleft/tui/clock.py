"""The clock of a timed series: minutes since all heat was called, and which reading is due."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.visit import View

STEP_S = 10.0
"""How often the clock is drawn while it runs: seldom enough for a slow line."""


def series(view: View) -> dict[str, float]:
    """The fields that are taken at a time, in order, each with its seconds from the start."""
    timed = ((f.id, f.state.partition(".")) for f in view.ledger.fields.values())
    return {id: float(parts[2]) for id, parts in timed if parts[0] == "after"}


class SeriesClock:
    """Runs from a start to a stop; `now` gives seconds from any fixed moment."""

    def __init__(self, now: Callable[[], float] = monotonic) -> None:
        self._now = now
        self._begun: float | None = None
        self._told = 0.0

    @property
    def running(self) -> bool:
        """Whether it runs."""
        return self._begun is not None

    @property
    def seconds(self) -> float:
        """Seconds since it was started; 0 where it does not run."""
        return 0.0 if self._begun is None else self._now() - self._begun

    @property
    def shown(self) -> str:
        """Minutes and seconds, to the step in which it is drawn; empty where it does not run."""
        if self._begun is None:
            return ""
        whole = int((self.seconds + 0.5) / STEP_S) * int(STEP_S)
        return f"{whole // 60}:{whole % 60:02}"

    def start(self) -> None:
        """Run from now."""
        self._begun, self._told = self._now(), 0.0

    def stop(self) -> None:
        """Run no longer."""
        self._begun = None

    def fallen_due(self, view: View) -> str:
        """The first reading of the newest minute that has come since this was last asked and is not taken."""
        now = self.seconds
        due = [(at, id) for id, at in series(view).items() if self._told < at <= now + 0.5]
        if not due:
            return ""
        self._told = newest = max(at for at, _ in due)
        return next((id for at, id in due if at == newest and view.ledger.current(id) is None), "")
