"""Whatever file operation fails, once or from then on, no saved entry is lost and no half one believed."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from asleft.journal import Chain, Journal, JournalError, classify, header_bytes, read

OPERATIONS = ("open", "read", "write", "fsync", "ftruncate", "stat", "fstat", "lseek", "close", "unlink")
HEADER = header_bytes(
    id="s", mode="job", app="a", rules="1", opened_by="Ana", follows=None, equipment_text="format = 1\n"
)
STEM = "2031-05-04-Hill-AH-1"


def powered(n: int) -> dict[str, Any]:
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ana", "kind": "powered", "state": "off"}


@contextmanager
def failing(at: int, number: int | None, forever: bool) -> Iterator[list[str]]:
    """From inside, the ``at``-th file operation fails, or every one from it on.

    ``number`` is the system's error; None makes a write come out short and lets all else pass. The list given
    tells what was done. Closing closes all the same, as it does on a real system.
    """
    done: list[str] = []
    real = {name: getattr(os, name) for name in OPERATIONS}

    def wrapped(name: str) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            done.append(name)
            if len(done) == at or (forever and len(done) > at):
                if number is not None:
                    if name == "close":
                        real[name](*args)
                    raise OSError(number, os.strerror(number))
                if name == "write":
                    return real[name](args[0], bytes(args[1])[: len(args[1]) // 2])
            return real[name](*args, **options)

        return call

    for name in OPERATIONS:
        setattr(os, name, wrapped(name))
    try:
        yield done
    finally:
        for name in OPERATIONS:
            setattr(os, name, real[name])


FAULTS = [
    pytest.param(number, forever, id=f"{name}-{'on' if forever else 'once'}")
    for number, name in ((errno.EIO, "eio"), (errno.ENOSPC, "enospc"), (None, "short"))
    for forever in (False, True)
]


def at_every_operation(
    number: int | None,
    forever: bool,
    prepare: Callable[[], object],
    scenario: Callable[[], object],
    afterwards: Callable[[], object],
) -> None:
    """Run the scenario with its first, second, … operation failing, until it has no more of them."""
    at = 0
    while True:
        at += 1
        assert at < 200
        prepare()
        with failing(at, number, forever) as done:
            scenario()
        afterwards()
        if len(done) < at:
            return


def go_on(path: Path, saved: int) -> None:
    """Reopen, append, reopen: every saved event is there, and at most whole ones more."""
    contents = read(path, wait=lambda _: None)
    assert contents.chain is not Chain.BROKEN, contents.trouble
    assert len(contents.events) >= saved
    with Journal.open(path) as journal:
        count = len(journal.contents.events)
        journal.append([powered(count + 1)])
    with Journal.open(path) as journal:
        assert journal.torn_kept is None
        assert len(journal.contents.events) == count + 1
    assert classify(path.read_bytes()).chain is Chain.WHOLE


@pytest.mark.parametrize(("number", "forever"), FAULTS)
def test_appending(tmp_path: Path, number: int | None, forever: bool) -> None:
    path = tmp_path / f"{STEM}.toml"
    saved = 0
    sentences: list[str] = []

    def prepare() -> None:
        path.unlink(missing_ok=True)
        Journal.create(tmp_path, STEM, HEADER).close()

    def scenario() -> None:
        nonlocal saved
        saved = 0
        try:
            journal = Journal.open(path)
        except JournalError:
            return
        for _ in range(4):
            try:
                journal.append([powered(len(journal.contents.events) + 1)])
                saved += 1
            except JournalError as problem:
                sentences.append(str(problem))
            assert len(journal.contents.events) == saved
        journal.close()

    def afterwards() -> None:
        assert len(classify(path.read_bytes()).events) == saved or forever
        go_on(path, saved)

    at_every_operation(number, forever, prepare, scenario, afterwards)
    assert sentences
    assert all(sentence.startswith(f"{path}: ") for sentence in sentences)


@pytest.mark.parametrize(("number", "forever"), FAULTS)
def test_creating(tmp_path: Path, number: int | None, forever: bool) -> None:
    folder = tmp_path / "sessions"
    folder.mkdir()
    begun: list[Path] = []

    def prepare() -> None:
        begun.clear()
        for path in folder.iterdir():
            path.unlink()

    def scenario() -> None:
        try:
            with Journal.create(folder, STEM, HEADER) as journal:
                begun.append(journal.path)
        except JournalError:
            assert not begun

    def afterwards() -> None:
        for path in begun:
            go_on(path, 0)
        for path in set(folder.iterdir()) - set(begun):
            # Only where even taking the new file away failed.
            assert forever
            assert number is not None
            contents = classify(path.read_bytes())
            assert contents.chain is not Chain.BROKEN
            assert contents.events == ()
        if not forever:
            with Journal.create(folder, STEM, HEADER) as journal:
                journal.append([powered(1)])

    at_every_operation(number, forever, prepare, scenario, afterwards)


@pytest.mark.parametrize(("number", "forever"), FAULTS)
def test_cutting_a_torn_tail(tmp_path: Path, number: int | None, forever: bool) -> None:
    path = tmp_path / f"{STEM}.toml"
    with Journal.create(tmp_path, STEM, HEADER) as journal:
        journal.append([powered(1)])
        journal.append([powered(2)])
    torn = path.read_bytes()[:-30]
    whole = classify(torn).whole_size

    def prepare() -> None:
        for kept in tmp_path.iterdir():
            kept.unlink()
        path.write_bytes(torn)

    def scenario() -> None:
        with suppress(JournalError):
            Journal.open(path).close()

    def afterwards() -> None:
        data = path.read_bytes()
        assert data in (torn, torn[:whole])
        kept = [other.read_bytes() for other in tmp_path.iterdir() if other != path]
        if data != torn:
            assert torn[whole:] in kept
        go_on(path, 1)

    at_every_operation(number, forever, prepare, scenario, afterwards)


@pytest.mark.parametrize(("number", "forever"), FAULTS)
def test_copying_to_another_place(tmp_path: Path, number: int | None, forever: bool) -> None:
    other = tmp_path / "other"
    other.mkdir()
    with Journal.create(tmp_path, STEM, HEADER) as journal:
        journal.append([powered(1)])
        data = journal.path.read_bytes()

        def prepare() -> None:
            for path in other.iterdir():
                path.unlink()

        def scenario() -> None:
            with suppress(JournalError), journal.copy_to(other) as copy:
                assert copy.contents == journal.contents

        def afterwards() -> None:
            assert journal.path.read_bytes() == data

        at_every_operation(number, forever, prepare, scenario, afterwards)
        journal.append([powered(2)])


def test_a_lock_the_drive_does_not_offer_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from asleft.journal import lock

    Journal.create(tmp_path, STEM, HEADER).close()

    def refuse(_: int) -> bool:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(lock, "take", refuse)
    with pytest.raises(JournalError, match="could not open it for writing"):
        Journal.open(tmp_path / f"{STEM}.toml")
