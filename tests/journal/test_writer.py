"""One writer, one write and one fsync an append, and nothing touched that is not ours."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from asleft.journal import (
    Broken,
    Chain,
    ChangedUnderneath,
    DiskFull,
    Gone,
    Journal,
    JournalError,
    Locked,
    NewerFormat,
    NotASession,
    ReadOnly,
    Unwritable,
    classify,
    read,
)

STEM = "2031-05-04-Hill-AH-1"


def powered(n: int, state: str = "off") -> dict[str, Any]:
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ana", "kind": "powered", "state": state}


def test_a_session_is_created_appended_to_and_read_back(
    tmp_path: Path, header: bytes, events: tuple[dict[str, Any], ...], session: bytes
) -> None:
    with Journal.create(tmp_path, STEM, header) as journal:
        assert journal.path == tmp_path / f"{STEM}.toml"
        assert journal.contents == classify(header)
        journal.append(events[:1])
        journal.append(events[1:])
        assert journal.contents == classify(session) == read(journal.path)
    assert journal.path.read_bytes() == session


def test_a_taken_name_gets_a_number(tmp_path: Path, header: bytes) -> None:
    names = []
    for _ in range(3):
        with Journal.create(tmp_path, STEM, header) as journal:
            names.append(journal.path.name)
    assert names == [f"{STEM}.toml", f"{STEM}-2.toml", f"{STEM}-3.toml"]


@pytest.mark.parametrize("stem", ["", "..", "a/b", "a\\b", "a b", "a.b", "-a", "a\x00", "ü", "a" * 200])
def test_a_stem_that_is_no_plain_name_is_refused(tmp_path: Path, header: bytes, stem: str) -> None:
    with pytest.raises(ValueError, match="letters, digits and hyphens"):
        Journal.create(tmp_path, stem, header)
    assert list(tmp_path.iterdir()) == []


def test_bytes_that_are_no_header_are_refused(tmp_path: Path, header: bytes, session: bytes) -> None:
    for data in (b"", header[:-1], session, b"x", header.replace(b"job", b"jab")):
        with pytest.raises(Unwritable, match="no session header"):
            Journal.create(tmp_path, STEM, data)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_said(tmp_path: Path, header: bytes) -> None:
    with pytest.raises(Gone, match="not there"):
        Journal.create(tmp_path / "none", STEM, header)


@pytest.mark.parametrize("count", [1, 3])
def test_an_append_is_exactly_one_write_and_one_fsync(
    session_file: Path, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    calls: list[str] = []
    for name in ("write", "writev", "pwrite", "fsync", "fdatasync", "ftruncate", "open", "lseek"):
        real = getattr(os, name, None)
        if real is not None:
            monkeypatch.setattr(os, name, lambda *a, name=name, real=real: (calls.append(name), real(*a))[1])
    with Journal.open(session_file) as journal:
        calls.clear()
        journal.append([powered(8 + i) for i in range(count)])
        assert calls == ["write", "fsync"]


def test_creating_syncs_the_file_and_the_folder(
    tmp_path: Path, header: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda fd: (synced.append(os.fstat(fd).st_ino), real(fd))[1])
    with Journal.create(tmp_path, STEM, header) as journal:
        folder = [] if os.name == "nt" else [tmp_path.stat().st_ino]
        assert synced == [journal.path.stat().st_ino, *folder]


def test_appending_nothing_touches_nothing(session_file: Path, session: bytes) -> None:
    with Journal.open(session_file) as journal:
        journal.append([])
    assert session_file.read_bytes() == session


def test_events_go_on_from_the_last_number_or_nothing_is_written(session_file: Path, session: bytes) -> None:
    with Journal.open(session_file) as journal:
        for bad in ([powered(7)], [powered(9)], [powered(8), powered(8)], [powered(8), {"kind": "x"}]):
            with pytest.raises(Unwritable):
                journal.append(bad)
        assert session_file.read_bytes() == session
        journal.append([powered(8)])
    assert classify(session_file.read_bytes()).chain is Chain.WHOLE


def test_a_second_writer_is_kept_out_and_readers_are_not(session_file: Path) -> None:
    with Journal.open(session_file) as journal:
        with pytest.raises(Locked, match="another program"):
            Journal.open(session_file)
        journal.append([powered(8)])
        assert len(read(session_file).events) == 8
    Journal.open(session_file).close()


def test_a_torn_tail_is_kept_beside_the_file_and_then_cut(session_file: Path, session: bytes) -> None:
    kept = []
    for size in (30, 60):
        session_file.write_bytes(session[:-size])
        with Journal.open(session_file) as journal:
            assert journal.torn_kept is not None
            kept.append(journal.torn_kept)
            assert (journal.contents.chain, journal.contents.tail) == (Chain.WHOLE, b"")
            assert journal.contents == classify(session_file.read_bytes())
            assert session_file.read_bytes() + journal.torn_kept.read_bytes() == session[:-size]
            journal.append([powered(7)])
        assert classify(session_file.read_bytes()).chain is Chain.WHOLE
    assert [path.name for path in kept] == [f"{session_file.name}.torn-1", f"{session_file.name}.torn-2"]


def test_the_tail_is_on_disk_before_anything_is_cut(
    session_file: Path, session: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    session_file.write_bytes(session[:-30])
    done: list[str] = []
    for name in ("fsync", "ftruncate"):
        real = getattr(os, name)
        monkeypatch.setattr(os, name, lambda *a, name=name, real=real: (done.append(name), real(*a))[1])
    Journal.open(session_file).close()
    syncs = 1 if os.name == "nt" else 2
    assert done == ["fsync"] * syncs + ["ftruncate", "fsync"]


@pytest.mark.parametrize(
    ("damage", "error"),
    [
        (lambda s: s.replace(b"238.2", b"238.3"), Broken),
        (lambda s: s + b"x", Broken),
        (lambda s: s.replace(b"format = 1\n", b"format = 7\n", 1), NewerFormat),
        (lambda s: b"", Broken),
        (lambda s: s[:100], Broken),
        (lambda s: b"hello", NotASession),
        (lambda s: b'format = 1\n\n[unit]\nid = "x"\n', NotASession),
    ],
    ids=["edited", "more", "newer", "empty", "half a header", "text", "equipment file"],
)
def test_what_is_not_sound_is_refused_and_never_written(
    session_file: Path, session: bytes, damage: Callable[[bytes], bytes], error: type[Exception]
) -> None:
    data = damage(session)
    session_file.write_bytes(data)
    with pytest.raises(error) as refused:
        Journal.open(session_file)
    assert str(refused.value).rstrip().endswith(".")
    assert session_file.read_bytes() == data
    assert [path.name for path in session_file.parent.iterdir()] == [session_file.name]


def test_a_folder_or_nothing_at_all_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotASession, match="not a file"):
        Journal.open(tmp_path)
    with pytest.raises(Gone, match="not there"):
        Journal.open(tmp_path / "none.toml")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no named pipes")
def test_a_pipe_is_refused_without_waiting_on_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(NotASession, match="not a file"):
        Journal.open(tmp_path / "pipe.toml")
    with pytest.raises(NotASession, match="not a file"):
        read(tmp_path / "pipe.toml")


@pytest.mark.parametrize("number", [errno.EACCES, errno.EPERM, errno.EROFS])
def test_a_file_that_may_not_be_written_is_read_only(
    session_file: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def refuse(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(ReadOnly, match="another place"):
        Journal.open(session_file)


@pytest.mark.parametrize(
    "meddle",
    [
        lambda path: path.write_bytes(path.read_bytes() + b"\n"),
        lambda path: path.write_bytes(path.read_bytes()[:-1]),
        lambda path: path.write_bytes(b""),
        lambda path: (
            path.rename(path.with_suffix(".old")),
            path.write_bytes(path.with_suffix(".old").read_bytes()),
        ),
    ],
    ids=["grown", "cut", "emptied", "replaced"],
)
def test_a_file_changed_underneath_is_left_alone_and_said(
    session_file: Path, meddle: Callable[[Path], object]
) -> None:
    with Journal.open(session_file) as journal:
        meddle(session_file)
        now = session_file.read_bytes()
        for _ in range(2):
            with pytest.raises(ChangedUnderneath, match="nothing was written"):
                journal.append([powered(8)])
        assert session_file.read_bytes() == now
        assert len(journal.contents.events) == 7


def test_a_file_that_is_gone_is_said_and_what_was_saved_can_go_on_elsewhere(
    session_file: Path, session: bytes, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    with Journal.open(session_file) as journal:
        journal.append([powered(8)])
        session_file.unlink()
        with pytest.raises(Gone):
            journal.append([powered(9)])
        with journal.copy_to(other) as copy:
            assert copy.path == other / session_file.name
            assert copy.contents == journal.contents
            copy.append([powered(9)])
        assert copy.path.read_bytes().startswith(session)
        assert len(read(copy.path).events) == 9
        assert len(journal.contents.events) == 8


def test_a_copy_never_overwrites(session_file: Path, session: bytes) -> None:
    with Journal.open(session_file) as journal, journal.copy_to(session_file.parent) as copy:
        assert copy.path.name == "2031-05-04-Hill-AH-1-2.toml"
        assert copy.path.read_bytes() == session_file.read_bytes() == session


def test_a_copy_of_an_oddly_named_file_gets_a_plain_name(session_file: Path) -> None:
    odd = session_file.rename(session_file.with_name("my visit (1).toml"))
    with Journal.open(odd) as journal, journal.copy_to(odd.parent) as copy:
        assert copy.path.name == "my-visit-1.toml"


def test_a_full_disk_is_said_and_the_same_entry_can_be_saved_once_there_is_room(
    session_file: Path, session: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    with Journal.open(session_file) as journal:
        monkeypatch.setattr(os, "write", lambda fd, data: real(fd, data[: len(data) // 2]))
        with pytest.raises(DiskFull, match="no room"):
            journal.append([powered(8)])
        assert session_file.read_bytes() == session
        monkeypatch.setattr(os, "write", real)
        journal.append([powered(8)])
    assert len(read(session_file).events) == 8


def test_a_failed_fsync_is_never_tried_again(
    session_file: Path, session: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = []

    def fail(descriptor: int) -> None:
        calls.append(descriptor)
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with Journal.open(session_file) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", fail)
            with pytest.raises(JournalError, match="open the session again, or save in another place"):
                journal.append([powered(8)])
            assert len(calls) == 1
        with pytest.raises(JournalError, match="nothing more is written"):
            journal.append([powered(8)])
        assert len(journal.contents.events) == 7
    assert session_file.read_bytes() == session
    with Journal.open(session_file) as again:
        again.append([powered(8)])


def test_an_entry_that_can_neither_be_saved_nor_taken_out_stops_the_journal(
    session_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write

    def fail(*_: object) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with Journal.open(session_file) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "write", lambda fd, data: real(fd, data[:20]))
            patch.setattr(os, "ftruncate", fail)
            with pytest.raises(DiskFull, match="could not be taken out again"):
                journal.append([powered(8)])
        with pytest.raises(JournalError, match="could not be taken out again"):
            journal.append([powered(8)])
    with Journal.open(session_file) as again:
        assert again.torn_kept is not None
        again.append([powered(8)])


def test_an_interrupted_append_leaves_the_file_as_it_was(
    session_file: Path, session: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    with Journal.open(session_file) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", interrupt)
            with pytest.raises(KeyboardInterrupt):
                journal.append([powered(8)])
        assert session_file.read_bytes() == session
        journal.append([powered(8)])


def test_a_closed_journal_writes_nothing(session_file: Path, session: bytes) -> None:
    journal = Journal.open(session_file)
    journal.close()
    journal.close()
    with pytest.raises(JournalError, match="closed"):
        journal.append([powered(8)])
    assert session_file.read_bytes() == session


def test_every_error_is_one_sentence_that_names_the_file(session_file: Path) -> None:
    with Journal.open(session_file), pytest.raises(Locked) as refused:
        Journal.open(session_file)
    assert str(refused.value).startswith(f"{session_file}: ")
    assert isinstance(refused.value, OSError)
    assert "\n" not in str(refused.value)


@pytest.mark.skipif(os.name == "nt", reason="the system has no such modes")
def test_what_is_written_is_its_owners_alone(session_file: Path, session: bytes, header: bytes) -> None:
    """Session, copy and what was cut off, whatever the mask of the shell."""
    before = os.umask(0)
    try:
        session_file.write_bytes(session[:-40])
        with Journal.create(session_file.parent, "other", header) as journal:
            made = [journal.path]
        with Journal.open(session_file) as journal:
            assert journal.torn_kept is not None
            made.append(journal.torn_kept)
            (session_file.parent / "elsewhere").mkdir()
            with journal.copy_to(session_file.parent / "elsewhere") as copy:
                made.append(copy.path)
    finally:
        os.umask(before)
    assert [oct(path.stat().st_mode & 0o777) for path in made] == ["0o600"] * 3


def test_a_session_that_is_full_takes_no_more_and_stays_readable(
    session_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The entry that would pass the largest size is refused before anything is written."""
    with Journal.open(session_file) as journal:
        n = len(journal.contents.events)
        before = session_file.read_bytes()
        monkeypatch.setattr("asleft.journal.files.LARGEST", len(before) + 10)
        with pytest.raises(JournalError, match="is full"):
            journal.append([powered(n + 1)])
    assert session_file.read_bytes() == before
    assert read(session_file).chain is Chain.WHOLE


def test_opening_puts_on_disk_what_it_shows(session_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program killed between its write and its fsync leaves an entry that a power cut could still take."""
    synced: list[int] = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda descriptor: (synced.append(descriptor), real(descriptor)))
    with Journal.open(session_file):
        assert len(synced) == 1


def test_a_torn_file_on_a_full_disk_says_what_there_is_no_room_for(
    session_file: Path, session: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And is left as it is."""
    session_file.write_bytes(session[:-40])

    def full(*_: object) -> Path:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("asleft.journal.files.keep_aside", full)
    with pytest.raises(DiskFull, match="no room to keep its last entry, which was cut short"):
        Journal.open(session_file)
    assert session_file.read_bytes() == session[:-40]
