"""The one writer of a session file."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, Self

from asleft.journal import files, lock
from asleft.journal.classify import Chain, Contents, classify
from asleft.journal.encode import block_bytes, ordered_event
from asleft.journal.errors import (
    Broken,
    ChangedUnderneath,
    JournalError,
    Locked,
    NewerFormat,
    NotASession,
    Unwritable,
    said,
)
from asleft.journal.names import is_safe_stem, safe_stem


class _Left(NamedTuple):
    """How the file was left: its size, how many events it holds, and the last link."""

    size: int
    events: int
    link: str


class Journal:
    """A session file open for writing, by this and no other program.

    What ``append`` has returned from is on disk. What it raised for is not in the file, or, where even taking
    it out again failed, that is said and nothing more is written through this journal.
    """

    def __init__(
        self, descriptor: int, path: Path, data: bytes, contents: Contents, torn_kept: Path | None = None
    ) -> None:
        """Of ``create``, ``open`` and ``copy_to``: take over a locked descriptor of a whole file."""
        self._descriptor: int | None = descriptor
        self._identity = _identity(os.fstat(descriptor))
        self._path = path
        self._torn_kept = torn_kept
        self._contents = contents
        self._left = _Left(len(data), len(contents.events), contents.link)
        # Kept, because a copy is wanted just when the file can no longer be read. What stands beyond what was
        # left, here and in what was added, is an entry that was not saved.
        self._data = bytearray(data)
        self._added: list[Mapping[str, object]] = []
        self._unsure = ""

    @classmethod
    def create(cls, folder: Path, stem: str, header: bytes) -> Journal:
        """Begin a session file in ``folder``, named by ``stem``, with -2, -3 and so on while that is taken.

        The file and its name are on disk when this returns. Raises ``ValueError`` for a stem that is no plain
        name, ``Unwritable`` for bytes that are no header, ``JournalError`` if the folder cannot be written;
        then no file is left behind.
        """
        if not is_safe_stem(stem):
            raise ValueError(f"{stem!r} cannot name a session; use letters, digits and hyphens.")
        return _begun(folder, stem, header, _header_contents(header))

    @classmethod
    def open(cls, path: Path) -> Journal:
        """Open a session file to go on with it.

        A tail that was not completely written is kept beside the file (``torn_kept``) and then cut off.
        Raises ``NotASession``, ``Broken``, ``NewerFormat``, ``Locked``, ``ReadOnly``, ``Gone`` or another
        ``JournalError``; then no event in the file was touched.
        """
        try:
            if not stat.S_ISREG(os.stat(path).st_mode):
                raise NotASession(f"{path} is not a file.")
            descriptor = files.open_for_append(path)
        except OSError as problem:
            raise said(problem, path, "open it for writing") from problem
        try:
            if not lock.take(descriptor):
                raise _locked(path)
            data = files.read_all(descriptor)
            if len(data) > files.LARGEST:
                raise NotASession(files.too_large(path))
            contents = classify(data)
            _refuse_unsound(path, contents)
            kept = None
            if contents.chain is Chain.TORN:
                kept = _kept_aside(path, contents.tail)
                os.ftruncate(descriptor, contents.whole_size)
                contents = replace(contents, chain=Chain.WHOLE, tail=b"", trouble="")
            # What is shown as saved must be: a program killed before its fsync leaves entries without one.
            os.fsync(descriptor)
            return cls(descriptor, path, data[: contents.whole_size], contents, kept)
        except BaseException as problem:
            _close(descriptor)
            if isinstance(problem, OSError):
                raise said(problem, path, "open it for writing") from problem
            raise

    @property
    def path(self) -> Path:
        """Where the file is."""
        return self._path

    @property
    def torn_kept(self) -> Path | None:
        """Where the tail went that opening cut off; None if there was none."""
        return self._torn_kept

    @property
    def contents(self) -> Contents:
        """What the file holds, appended events included."""
        if new := self._left.events - len(self._contents.events):
            self._contents = replace(
                self._contents,
                events=(*self._contents.events, *self._added[:new]),
                link=self._left.link,
                whole_size=self._left.size,
            )
            self._added = []
        return self._contents

    def append(self, events: Sequence[Mapping[str, object]]) -> None:
        """Put events on disk, all of them with one write and one fsync.

        Events carry ``n``, going on from the last one, and no ``link``. Raises ``Unwritable`` for an event
        that cannot stand here, ``ChangedUnderneath`` or ``Gone`` if the file is not as we left it, and
        ``DiskFull`` or another ``JournalError`` if it could not be written. An fsync that failed is never
        tried again, since the system may have dropped what it could not write: open the file anew, or save
        in another place.
        """
        if self._descriptor is None:
            raise JournalError(f"{self._path}: the session was closed, nothing more can be written.")
        if self._unsure:
            raise JournalError(self._unsure)
        data, link, added = self._encoded(events)
        if not added:
            return
        if self._left.size + len(data) > files.LARGEST:
            raise JournalError(
                f"{self._path}: the session is full ({files.LARGEST // 1_000_000} MB); go on in a new one."
            )
        self._must_be_as_left()
        del self._data[self._left.size :]
        del self._added[self._left.events - len(self._contents.events) :]
        self._data += data
        self._added += added
        try:
            written = os.write(self._descriptor, data)
            if written != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            self._sync(self._descriptor)
            # One assignment: whoever interrupts, it is saved and known to be, or neither.
            self._left = _Left(len(self._data), self._left.events + len(added), link)
        except BaseException as problem:
            self._take_back(self._descriptor)
            if isinstance(problem, OSError):
                raise self._not_saved(problem) from problem
            raise

    def copy_to(self, folder: Path) -> Journal:
        """A copy of what is saved, in another folder, open to go on with; this journal stays as it is.

        For when the present place can no longer be written or is gone: the bytes come from memory. Raises
        ``JournalError`` if the new place cannot be written either; then no file is left there.
        """
        return _begun(folder, safe_stem(self._path.stem), bytes(self._data[: self._left.size]), self.contents)

    def close(self) -> None:
        """Let go of the file. Closing again does nothing."""
        descriptor, self._descriptor = self._descriptor, None
        if descriptor is not None:
            _close(descriptor)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _encoded(
        self, events: Sequence[Mapping[str, object]]
    ) -> tuple[bytes, str, list[Mapping[str, object]]]:
        link = self._left.link
        blocks: list[bytes] = []
        added: list[Mapping[str, object]] = []
        for number, event in enumerate(events, self._left.events + 1):
            ordered = ordered_event(event)
            if ordered["n"] != number:
                raise Unwritable(f"Event n = {ordered['n']} cannot come here: the next one is n = {number}.")
            block, link = block_bytes(link, ordered)
            blocks.append(block)
            added.append({**ordered, "link": link})
        return b"".join(blocks), link, added

    def _must_be_as_left(self) -> None:
        try:
            now = os.stat(self._path)
        except OSError as problem:
            raise said(problem, self._path, "save the entry") from problem
        if _identity(now) != self._identity:
            raise ChangedUnderneath(
                f"{self._path}: another file has taken its place since it was opened, so nothing was written;"
                " save in another place."
            )
        left = self._left.size
        if now.st_size != left:
            raise ChangedUnderneath(
                f"{self._path}: something else changed it ({now.st_size} bytes where {left} were left),"
                " so nothing was written; save in another place."
            )

    def _sync(self, descriptor: int) -> None:
        try:
            os.fsync(descriptor)
        except OSError:
            self._unsure = (
                f"{self._path}: the drive failed while saving, so nothing more is written to it;"
                " open the session again, or save in another place."
            )
            raise

    def _take_back(self, descriptor: int) -> None:
        """Cut the file back to what it was."""
        try:
            os.ftruncate(descriptor, self._left.size)
        except OSError:
            # Opening the file again would believe bytes that the system may count as written and never write.
            self._unsure = (
                f"{self._path}: an entry that could not be saved could not be taken out again either;"
                " save in another place."
            )

    def _not_saved(self, problem: OSError) -> JournalError:
        error = said(problem, self._path, "save the entry")
        return type(error)(self._unsure, error.errno) if self._unsure else error


def _kept_aside(path: Path, tail: bytes) -> Path:
    try:
        return files.keep_aside(path, tail)
    except OSError as problem:
        raise said(problem, path, "keep its last entry, which was cut short, beside it") from problem


def _identity(status: os.stat_result) -> tuple[int, int]:
    return status.st_dev, status.st_ino


def _close(descriptor: int) -> None:
    # Closing also lets go of the lock; a descriptor that cannot be closed is no longer ours to mend.
    with contextlib.suppress(OSError):
        lock.give_back(descriptor)
    with contextlib.suppress(OSError):
        os.close(descriptor)


def _locked(path: Path) -> Locked:
    return Locked(f"{path}: another program has this session open; close it there first.")


def _header_contents(header: bytes) -> Contents:
    try:
        contents = classify(header)
    except NotASession as problem:
        raise Unwritable("These bytes are no session header.") from problem
    if contents.chain is not Chain.WHOLE or contents.events:
        raise Unwritable(f"These bytes are no session header. {contents.trouble}".rstrip())
    return contents


def _begun(folder: Path, stem: str, data: bytes, contents: Contents) -> Journal:
    """A new file in the folder that holds data, on disk with its name."""
    path, descriptor = _create_free(folder, stem)
    try:
        if not lock.take(descriptor):
            raise _locked(path)
        if os.write(descriptor, data) != len(data):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        os.fsync(descriptor)
        files.sync_folder(folder)
        return Journal(descriptor, path, data, contents)
    except BaseException as problem:
        _close(descriptor)
        with contextlib.suppress(OSError):
            path.unlink()
        if isinstance(problem, OSError):
            raise said(problem, path, "begin the session") from problem
        raise


def _create_free(folder: Path, stem: str) -> tuple[Path, int]:
    number = 1
    while True:
        path = folder / (f"{stem}.toml" if number == 1 else f"{stem}-{number}.toml")
        try:
            return path, files.create_new(path)
        except FileExistsError:
            number += 1
        except OSError as problem:
            raise said(problem, path, "begin the session") from problem


def _refuse_unsound(path: Path, contents: Contents) -> None:
    if contents.newer_format:
        raise NewerFormat(f"{path}: {contents.trouble}")
    if contents.chain is Chain.BROKEN or not contents.whole_size:
        raise Broken(f"{path}: {contents.trouble}")
