"""What earlier audits, seals and reviews saw of each session: how many entries, and the link of the last.

A file that was cut between two entries is whole by itself, and so is one that somebody wrote anew. Only what
was seen before tells that there was more, or something else.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from asleft.review.row import Row
from asleft.review.rules import Mark, mark

_TABLE = "CREATE TABLE IF NOT EXISTS seen (id TEXT PRIMARY KEY, entries INTEGER NOT NULL, link TEXT NOT NULL)"
_KEEP = """
INSERT INTO seen VALUES (?, ?, ?)
ON CONFLICT (id) DO UPDATE SET entries = excluded.entries, link = excluded.link
WHERE excluded.entries > seen.entries
"""

LinkAt = Callable[[Path, int], str]
"""Reads the link of an entry out of a file; empty where it has none."""


class Seen(NamedTuple):
    """The longest that was seen of a session: its entries, and the link of the last of them."""

    entries: int
    link: str


class Memory:
    """What was seen of sessions by their id, in a file of its own; without a path, or spoiled, nothing."""

    def __init__(self, path: Path | None) -> None:
        self._db = _opened(path)

    def __enter__(self) -> Memory:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def seen(self, id: str) -> Seen | None:
        """What was seen of a session; None where nothing was."""
        if self._db is None:
            return None
        try:
            found = self._db.execute("SELECT entries, link FROM seen WHERE id = ?", (id,)).fetchone()
        except sqlite3.Error:
            return None
        return Seen(int(found[0]), str(found[1])) if found else None

    def keep(self, sessions: Iterable[tuple[str, int, str]]) -> None:
        """Remember id, entries and last link of sessions that are longer than what was seen of them."""
        if self._db is None:
            return
        try:
            with self._db:
                self._db.executemany(_KEEP, sessions)
        except sqlite3.Error:
            self.close()

    def close(self) -> None:
        """Let go of the file."""
        if self._db is not None:
            self._db.close()
            self._db = None

    def compared(self, rows: Sequence[Row], link_at: LinkAt) -> list[Row]:
        """Rows of real visits marked where more, or another entry, was seen before; what is new is kept."""
        told = [self._compared(row, link_at) for row in rows]
        self.keep(
            (row.id, row.events, row.link)
            for row, marked in zip(rows, told, strict=True)
            if _counts(row) and marked is row
        )
        return told

    def _compared(self, row: Row, link_at: LinkAt) -> Row:
        before = self.seen(row.id) if _counts(row) else None
        if before is None:
            return row
        if row.events < before.entries:
            return _marked(row, mark("shorter", n=row.events, before=before.entries))
        last = row.link if row.events == before.entries else link_at(Path(row.file), before.entries)
        return row if last == before.link else _marked(row, mark("rewritten", n=before.entries))


def _counts(row: Row) -> bool:
    """Whether a row is that of a real visit: two demonstrations of one seed have the same id."""
    return row.mode == "job" and bool(row.id and row.link and row.events)


def _marked(row: Row, found: Mark) -> Row:
    return replace(row, marks=tuple(sorted((*row.marks, found), key=lambda m: -m.weight)))


def _opened(path: Path | None) -> sqlite3.Connection | None:
    if path is None:
        return None
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        db = sqlite3.connect(path, timeout=5.0)
        db.execute(_TABLE)
        db.commit()
    except (sqlite3.Error, OSError):
        return None
    return db
