"""An audit that goes on by itself, whatever else is on the screen meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from threading import Thread

from asleft.review.audit import audit
from asleft.review.store import Run


class _Stopped(Exception):
    """The audit is wanted no more."""


class Auditing:
    """One audit in a thread of its own, begun once; its rows come into a run.

    `files` were looked at so far; `over` when they were all, or it could not go on, which `trouble` says.
    """

    def __init__(
        self,
        paths: Sequence[Path],
        run: Run,
        *,
        cache: Path | None = None,
        memory: Path | None = None,
        signers: Path | None = None,
    ) -> None:
        self.paths, self.run, self.signers = tuple(paths), run, signers
        self.files, self.over, self.trouble = 0, False, ""
        self._cache, self._memory, self._wanted = cache, memory, True
        self._thread = Thread(target=self._work, name="audit", daemon=True)

    def start(self) -> None:
        """Begin, unless that was done before."""
        if not self._thread.ident:
            self._thread.start()

    def stop(self) -> None:
        """Want no more of it, and wait until it has let go of the run."""
        self._wanted = False
        if self._thread.ident:
            self._thread.join()

    def _work(self) -> None:
        try:
            audit(
                self.paths,
                self.run,
                cache=self._cache,
                memory=self._memory,
                signers=self.signers,
                told=self._told,
            )
        except _Stopped:
            pass
        except Exception as error:  # noqa: BLE001  rows that are not all must never pass for all
            what = error if isinstance(error, OSError) else f"{type(error).__name__}, {error}"
            self.trouble = f"The audit could not go on, and these are not all: {what}"
        finally:
            self.over = True

    def _told(self, files: int) -> None:
        self.files = files
        if not self._wanted:
            raise _Stopped
