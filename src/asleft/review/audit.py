"""An audit over trees of sessions: every file read, judged on all cores, worst first."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager, nullcontext, redirect_stderr
from dataclasses import replace
from hashlib import sha256
from itertools import islice
from multiprocessing import resource_tracker
from pathlib import Path

from asleft.journal import JournalError, NotASession, read
from asleft.journal.files import LARGEST, too_large
from asleft.journal.tree import session_files
from asleft.review.examine import examined, unreadable
from asleft.review.memory import Memory
from asleft.review.row import Row
from asleft.review.store import Cache, Run

BATCH = 256
"""Files that are handed out together; two such batches are under way at once, enough for every core."""
_CHUNK = 8
FEW = 24
"""Files for which no other process is worth its start."""

Told = Callable[[int], None]
"""Hears how many files were looked at so far."""


def audit(
    paths: Sequence[Path],
    run: Run,
    *,
    cache: Path | None = None,
    memory: Path | None = None,
    signers: Path | None = None,
    told: Told = lambda _: None,
    processes: int | None = None,
) -> int:
    """Put every session under these paths into a run; give how many there are.

    Without a `cache` every file is judged anew. A result is only ever taken for the bytes it was made from.
    Against what is in `memory` a file is held whose end may have been cut off.
    Raises OSError where the signers file cannot be read, or a path is not there.
    """
    if signers is not None:
        with signers.open("rb"):
            pass
    for path in paths:
        os.stat(path)
    # Whose seals they are depends on the signers file, which may change under the same name.
    given = (None if signers else cache, signers)
    kept, seen = Cache(given[0]), Memory(memory)
    found = (path for top in paths for path in session_files(top))
    files = _once(found) if len(paths) > 1 else found
    done = 0
    try:
        for rows in _judged(files, given, processes or os.cpu_count() or 1):
            run.add(seen.compared([row for row, _ in rows], _link_at))
            kept.put(row for row, new in rows if new)
            done += len(rows)
            told(done)
        run.mark_copies()
    finally:
        kept.close()
        seen.close()
    return done


def _link_at(path: Path, n: int) -> str:
    """The link of an entry of a file; empty where it cannot be had."""
    try:
        contents = read(path)
    except (OSError, NotASession, JournalError):
        return ""
    return str(contents.events[n - 1]["link"]) if n <= len(contents.events) else ""


def _once(paths: Iterable[Path]) -> Iterator[Path]:
    """Each file once, where trees named overlap. Numbers of files are kept, not names."""
    seen: set[int] = set()
    for path in paths:
        try:
            found = path.stat()
        except OSError:
            continue
        number = found.st_dev << 64 | found.st_ino
        if number not in seen:
            seen.add(number)
            yield path


class _Work:
    """Judging one file, in whichever process."""

    def __init__(self, cache: Path | None, signers: Path | None) -> None:
        self._path, self._signers = cache, signers
        self._cache: Cache | None = None

    def __call__(self, path: Path) -> tuple[Row, bool]:
        """The row of a file, and whether it was made anew."""
        name = os.fsdecode(path)
        try:
            with path.open("rb") as file:
                data = file.read(LARGEST + 1)
        except OSError as error:
            return unreadable(name, "", (error.strerror or str(error)).lower()), False
        if len(data) > LARGEST:
            return unreadable(name, "", too_large(path).removeprefix(f"{path} ")), False
        if self._cache is None:
            self._cache = Cache(self._path, write=False)
        known = self._cache.get(sha256(data).hexdigest())
        if known is not None:
            return replace(known, file=name), False
        try:
            return examined(data, name, self._signers), True
        except OSError:
            raise
        except Exception as error:  # noqa: BLE001  one file never takes another with it
            why = f"it cannot be judged: {type(error).__name__}: {error}"
            return unreadable(name, sha256(data).hexdigest(), why), False


_WORK: list[_Work] = []
"""What a process of a pool judges with."""


def _begin(cache: Path | None, signers: Path | None) -> None:
    _WORK[:] = [_Work(cache, signers)]


def _track_resources() -> None:
    """Start Python's own helper of process pools with the real standard error, which a screen puts aside.

    It is handed that file by its number, and what stands in its place on a screen has none. Windows has none.
    """
    if os.name != "posix":
        return
    with redirect_stderr(sys.__stderr__) if sys.__stderr__ is not None else nullcontext():
        resource_tracker.ensure_running()


@contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """Processes started meanwhile never hear Ctrl+C, which the terminal sends them too: this one ends them.

    Windows has nothing of the kind.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _in_a_process(path: Path) -> tuple[Row, bool]:
    return _WORK[0](path)


def _judged(
    files: Iterator[Path], given: tuple[Path | None, Path | None], cores: int
) -> Iterator[list[tuple[Row, bool]]]:
    """Rows in batches: a few here, many on every core."""
    work = _Work(*given)
    following = list(islice(files, FEW))
    while following and cores == 1:
        yield [work(path) for path in following]
        following = list(islice(files, BATCH))
    if following:
        yield [work(path) for path in following]
    if not (following := list(islice(files, BATCH))):
        return
    _track_resources()
    pool = ProcessPoolExecutor(cores, multiprocessing.get_context("spawn"), _begin, given)
    under_way: deque[Iterator[tuple[Row, bool]]] = deque()
    try:
        while following or under_way:
            # One batch is judged while the rows of the one before are put away.
            if following:
                with _deaf_to_interrupts():
                    under_way.append(pool.map(_in_a_process, following, chunksize=_CHUNK))
                following = list(islice(files, BATCH))
            if len(under_way) == 2 or not following:
                yield list(under_way.popleft())
    except BrokenExecutor as error:
        raise OSError(
            "a process that judged files was ended from outside, for want of memory perhaps"
        ) from error
    finally:
        pool.shutdown(cancel_futures=True)
