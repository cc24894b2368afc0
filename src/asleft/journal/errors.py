"""What can go wrong with a session file, each as one sentence a person can act on."""

from __future__ import annotations

import errno
from pathlib import Path


class NotASession(ValueError):
    """The bytes are no session file at all."""


class Unwritable(ValueError):
    """An event or a header that the session file has no way to hold."""


class JournalError(OSError):
    """A session file could not be read or written. ``str()`` is the whole story in one sentence."""

    def __init__(self, sentence: str, number: int | None = None) -> None:
        super().__init__(sentence)
        self.errno = number


class Locked(JournalError):
    """Another program has the session open for writing."""


class ReadOnly(JournalError):
    """The file or its folder may not be written."""


class Broken(JournalError):
    """The file was damaged or altered after it was written, so nothing may be added to it."""


class NewerFormat(JournalError):
    """The file was written in a format this version does not know."""


class ChangedUnderneath(JournalError):
    """Something else changed the file since we last wrote it."""


class DiskFull(JournalError):
    """There is no room left."""


class Gone(JournalError):
    """The file, its folder or its drive is no longer there."""


_FULL = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
_READ_ONLY = {errno.EACCES, errno.EPERM, errno.EROFS}
_GONE = {
    errno.ENOENT,
    errno.ENOTDIR,
    errno.ENODEV,
    errno.ENXIO,
    getattr(errno, "ESTALE", errno.ENOENT),
    getattr(errno, "ENOTCONN", errno.ENOENT),
}


def said(problem: OSError, path: Path, doing: str) -> JournalError:
    """The system's error as ours: which file, what was being done, why it failed, what was kept."""
    if isinstance(problem, JournalError):
        return problem
    why = (problem.strerror or str(problem) or type(problem).__name__).lower()
    number = problem.errno
    if number in _FULL:
        return DiskFull(f"{path}: no room to {doing} ({why}); free some, or save in another place.", number)
    if number in _READ_ONLY:
        return ReadOnly(f"{path}: not allowed to {doing} ({why}); save in another place.", number)
    if number in _GONE:
        return Gone(f"{path}: could not {doing}, it is not there ({why}).", number)
    return JournalError(f"{path}: could not {doing} ({why}).", number)
