"""The lock is on the file itself, and lets go with its holder."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from asleft.journal import Journal, Locked, lock

HOLD = """
import sys
from pathlib import Path
from asleft.journal import Journal
journal = Journal.open(Path(sys.argv[1]))
print("held", flush=True)
sys.stdin.read()
"""


def test_another_process_is_kept_out_until_the_holder_is_gone(session_file: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, session_file], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(Locked):
            Journal.open(session_file)
        holder.kill()
        holder.wait()
    Journal.open(session_file).close()


def test_a_lock_is_given_back(session_file: Path) -> None:
    one, two = os.open(session_file, os.O_RDWR), os.open(session_file, os.O_RDWR)
    try:
        assert lock.take(one)
        assert not lock.take(two)
        lock.give_back(one)
        assert lock.take(two)
    finally:
        os.close(one)
        os.close(two)


def test_the_windows_side_locks_one_byte_beyond_any_session_and_keeps_its_place(
    session_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Through a stand-in for msvcrt: Windows bars readers from a locked range, so it must hold no data."""
    calls: list[tuple[int, int, int]] = []
    held = False

    def locking(descriptor: int, mode: int, size: int) -> None:
        calls.append((os.lseek(descriptor, 0, os.SEEK_CUR), mode, size))
        if held and mode == 2:
            raise PermissionError(13, "taken")

    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(locking=locking, LK_NBLCK=2, LK_UNLCK=0))
    monkeypatch.setattr(sys, "platform", "win32")
    spec = importlib.util.spec_from_file_location("windows_lock", lock.__file__)
    assert spec is not None
    assert spec.loader is not None
    windows = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(windows)
    descriptor = os.open(session_file, os.O_RDWR)
    try:
        os.lseek(descriptor, 5, os.SEEK_SET)
        assert windows.take(descriptor)
        held = True
        assert not windows.take(descriptor)
        windows.give_back(descriptor)
        assert os.lseek(descriptor, 0, os.SEEK_CUR) == 5
    finally:
        os.close(descriptor)
    assert calls == [(0x7FFF0000, 2, 1), (0x7FFF0000, 2, 1), (0x7FFF0000, 0, 1)]
