"""Any number of readers, none of whom takes an append under way for damage."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from asleft.journal import Chain, Gone, JournalError, NotASession, read


def test_a_reader_that_meets_a_tail_looks_again_after_100_ms(session_file: Path, session: bytes) -> None:
    waits: list[float] = []

    def finish(seconds: float) -> None:
        waits.append(seconds)
        session_file.write_bytes(session)

    session_file.write_bytes(session[:-10])
    contents = read(session_file, wait=finish)
    assert contents.chain is Chain.WHOLE
    assert waits == [0.1]


def test_a_tail_that_stays_is_torn(session_file: Path, session: bytes) -> None:
    waits: list[float] = []
    session_file.write_bytes(session[:-10])
    contents = read(session_file, wait=waits.append)
    assert contents.chain is Chain.TORN
    assert len(waits) == 1
    assert session_file.read_bytes() == session[:-10]


@pytest.mark.parametrize("damage", [b"", b"x"])
def test_nobody_waits_for_a_file_without_a_torn_tail(
    session_file: Path, session: bytes, damage: bytes
) -> None:
    session_file.write_bytes(session + damage)
    waits: list[float] = []
    read(session_file, wait=waits.append)
    assert waits == []


def test_what_cannot_be_read_is_said(
    tmp_path: Path, session_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(Gone, match="not there"):
        read(tmp_path / "none.toml")
    with pytest.raises(NotASession, match="not a file"):
        read(tmp_path)

    def fail(*_: object) -> bytes:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(Path, "open", fail)
    with pytest.raises(JournalError, match="could not read it"):
        read(session_file)
