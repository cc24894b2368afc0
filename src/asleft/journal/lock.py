"""One writer at a time: an advisory lock on the session file itself, on every system the wizard runs on."""

from __future__ import annotations

import sys

if sys.platform == "win32":
    import msvcrt
    import os

    # Windows keeps readers out of a locked range, so the range is one byte far beyond any session.
    _BEYOND = 0x7FFF0000

    def _at_beyond(descriptor: int, mode: int) -> None:
        here = os.lseek(descriptor, 0, os.SEEK_CUR)
        try:
            os.lseek(descriptor, _BEYOND, os.SEEK_SET)
            msvcrt.locking(descriptor, mode, 1)
        finally:
            os.lseek(descriptor, here, os.SEEK_SET)

    def take(descriptor: int) -> bool:
        """Lock the open file without waiting; False if another has it. ``OSError`` if there is no locking."""
        try:
            _at_beyond(descriptor, msvcrt.LK_NBLCK)
        except PermissionError:
            return False
        return True

    def give_back(descriptor: int) -> None:
        """Unlock the open file."""
        _at_beyond(descriptor, msvcrt.LK_UNLCK)

else:
    import fcntl

    def take(descriptor: int) -> bool:
        """Lock the open file without waiting; False if another has it. ``OSError`` if there is no locking."""
        try:
            # flock and not lockf: it also keeps out a second opening in this very process.
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def give_back(descriptor: int) -> None:
        """Unlock the open file."""
        fcntl.flock(descriptor, fcntl.LOCK_UN)
