"""Rows of an audit on disk: a cache of results by what files hold, and one run in order, worst first.

Nothing of a run is kept in memory, so that a tree of any size takes no more of it.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import NamedTuple

from asleft.review.examine import timed
from asleft.review.row import Row, loaded
from asleft.review.rules import mark, rules, version

_CACHE = "CREATE TABLE IF NOT EXISTS result (sha256 TEXT, rules TEXT, row TEXT, PRIMARY KEY (sha256, rules))"
_RUN = """
CREATE TABLE row (file BLOB, weight REAL, id TEXT, follows TEXT, readings TEXT, technician TEXT, unit TEXT,
                  month TEXT, mode TEXT, outcome TEXT, review TEXT, holds INTEGER, ended TEXT, words TEXT,
                  row TEXT);
CREATE INDEX worst_first ON row (weight DESC, file);
CREATE TABLE failed (name TEXT);
CREATE TABLE wrong (name TEXT);
"""
_BATCH = 400
PAGE = 100


class Summary(NamedTuple):
    """Sessions, commissioned ones, and those with a mark, of one technician, unit or month."""

    name: str
    sessions: int
    commissioned: int
    marked: int


class Counted(NamedTuple):
    """How many sessions something was found in."""

    name: str
    sessions: int


class Cache:
    """Results by the SHA-256 of a file and the rules it was judged by. Spoiled, it is made anew.

    It is never asked what a file holds: who asks has read its bytes.
    """

    def __init__(self, path: Path | None, *, write: bool = True) -> None:
        self._path = path
        self._db = self._opened() if write else self._looked_into()

    def _looked_into(self) -> sqlite3.Connection | None:
        """For reading alone: several processes look, one writes."""
        if self._path is None or not self._path.is_file():
            return None
        try:
            return sqlite3.connect(f"{self._path.absolute().as_uri()}?mode=ro", uri=True, timeout=5.0)
        except (sqlite3.Error, ValueError):
            return None

    def _opened(self) -> sqlite3.Connection | None:
        if self._path is None:
            return None
        for fresh in (False, True):
            try:
                if fresh:
                    self._path.unlink(missing_ok=True)
                self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                db = sqlite3.connect(self._path, timeout=5.0)
                db.execute("PRAGMA journal_mode = WAL")
                db.execute(_CACHE)
                db.execute("SELECT sha256, rules, row FROM result LIMIT 1").fetchall()
                db.execute("DELETE FROM result WHERE rules != ?", (version(),))
                db.commit()
            except (sqlite3.Error, OSError):
                continue
            return db
        return None

    def get(self, digest: str) -> Row | None:
        """The result of a file with these bytes, by today's rules."""
        if self._db is None:
            return None
        try:
            found = self._db.execute(
                "SELECT row FROM result WHERE sha256 = ? AND rules = ?", (digest, version())
            ).fetchone()
            return loaded(found[0]) if found else None
        except (sqlite3.Error, ValueError, TypeError, KeyError):
            # Whatever stands there is no result; the file itself is judged.
            return None

    def put(self, rows: Iterable[Row]) -> None:
        """Keep results. A cache that cannot be written is none."""
        if self._db is None:
            return
        try:
            with self._db:
                self._db.executemany(
                    "INSERT OR REPLACE INTO result VALUES (?, ?, ?)",
                    ((row.sha256, version(), row.dumped()) for row in rows if row.sha256),
                )
        except sqlite3.Error:
            self._db = None

    def close(self) -> None:
        """Let go of it."""
        if self._db is not None:
            self._db.close()


class Run:
    """The rows of one audit, in a database of its own that vanishes with it."""

    def __init__(self, now: datetime) -> None:
        # An empty name is a temporary file of SQLite's own, kept in memory only as far as its cache goes.
        self._db = sqlite3.connect("", check_same_thread=False)
        self._db.executescript(_RUN)
        self._now = now
        self._alone = RLock()
        """A screen reads while rows are still put in."""

    def __enter__(self) -> Run:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Forget it."""
        self._db.close()

    def add(self, rows: Sequence[Row]) -> None:
        """Take rows in, with what is odd about them today."""
        found = [timed(row, self._now) for row in rows]
        with self._alone, self._db:
            self._db.executemany(f"INSERT INTO row VALUES (?{',?' * 14})", map(_columns, found))
            self._db.executemany("INSERT INTO failed VALUES (?)", ((id,) for r in found for id in r.failed))
            self._db.executemany(
                "INSERT INTO wrong VALUES (?)", ((f"{r.unit} {place}",) for r in found for place in r.wrong)
            )

    def mark_copies(self) -> None:
        """Mark sessions whose readings another one has to the digit, where neither goes on from the other."""
        least = int(rules()["repeated"].figures["readings"])
        with self._alone:
            copies = self._copies()
        for rowid, text in copies:
            row = loaded(text)
            if any(m.rule == "repeated" for m in row.marks):
                continue
            marks = sorted((*row.marks, mark("repeated", count=least)), key=lambda m: -m.weight)
            self._put(rowid, replace(row, marks=tuple(marks)))

    def _copies(self) -> list[tuple[int, str]]:
        self._db.execute("CREATE INDEX IF NOT EXISTS by_readings ON row (readings)")
        return self._db.execute(
            """SELECT a.rowid, a.row FROM row a WHERE a.readings != '' AND EXISTS (
                 SELECT 1 FROM row b WHERE b.readings = a.readings AND b.id != a.id
                 AND b.id != a.follows AND a.id != b.follows
                 AND (a.follows = '' OR a.follows != b.follows))"""
        ).fetchall()

    def _put(self, rowid: int, row: Row) -> None:
        with self._alone, self._db:
            self._db.execute(
                "UPDATE row SET weight = ?, row = ?, words = ?, review = ?, outcome = ? WHERE rowid = ?",
                (row.weight, row.dumped(), _words(row), row.review, row.outcome, rowid),
            )

    def again(self, row: Row) -> None:
        """Put a row in the place of the one that was made of the same file before."""
        with self._alone:
            found = self._db.execute("SELECT rowid FROM row WHERE file = ?", (_key(row),)).fetchone()
            if found:
                self._put(found[0], timed(row, self._now))

    def count(self, words: str = "") -> int:
        """How many sessions there are, of those in which these words stand."""
        where, values = _where(words)
        with self._alone:
            return int(self._db.execute(f"SELECT COUNT(*) FROM row {where}", values).fetchone()[0])

    def page(self, start: int, size: int = PAGE, words: str = "") -> list[Row]:
        """So many rows from a place on, worst first."""
        where, values = _where(words)
        with self._alone:
            found = self._db.execute(
                f"SELECT row FROM row {where} ORDER BY weight DESC, file LIMIT ? OFFSET ?",
                (*values, size, start),
            ).fetchall()
        return [loaded(text) for (text,) in found]

    def rows(self) -> Iterator[Row]:
        """Every row, worst first."""
        cursor = self._db.execute("SELECT row FROM row ORDER BY weight DESC, file")
        while texts := cursor.fetchmany(_BATCH):
            for (text,) in texts:
                yield loaded(text)

    def holding(self) -> Iterator[Row]:
        """Rows of visits that were left with a hold that fails, the latest first."""
        with self._alone:
            found = self._db.execute(
                "SELECT row FROM row WHERE holds > 0 ORDER BY ended DESC, file"
            ).fetchall()
        return (loaded(text) for (text,) in found)

    def worst(self) -> float:
        """The weight of the worst row; 0 where there is none."""
        return float(self._db.execute("SELECT COALESCE(MAX(weight), 0) FROM row").fetchone()[0])

    def by(self, column: str, most: int = 20) -> list[Summary]:
        """Sessions by technician, unit or month; those with most marked first."""
        assert column in ("technician", "unit", "month")
        with self._alone:
            found = self._db.execute(
                f"""SELECT {column}, COUNT(*), SUM(outcome = 'commissioned'), SUM(weight > 25) FROM row
                    WHERE id != '' GROUP BY {column} ORDER BY 4 DESC, 2 DESC, 1 LIMIT ?""",
                (most,),
            ).fetchall()
        return [Summary(str(name), n, int(good), int(marked)) for name, n, good, marked in found]

    def most_failed(self, most: int = 20) -> list[Counted]:
        """The checks that fail most."""
        return self._most("failed", most)

    def most_wrong(self, most: int = 20) -> list[Counted]:
        """The settings most often found otherwise than they were left, by unit."""
        return self._most("wrong", most)

    def _most(self, table: str, most: int) -> list[Counted]:
        with self._alone:
            found = self._db.execute(
                f"SELECT name, COUNT(*) FROM {table} GROUP BY 1 ORDER BY 2 DESC, 1 LIMIT ?", (most,)
            ).fetchall()
        return [Counted(str(name), n) for name, n in found]


def _key(row: Row) -> bytes:
    """The name of a file as the system has it, which need not be text."""
    return os.fsencode(row.file)


def _columns(row: Row) -> tuple[object, ...]:
    return (
        _key(row),
        row.weight,
        row.id,
        row.follows,
        row.readings,
        row.technician,
        row.unit,
        row.month,
        row.mode,
        row.outcome,
        row.review,
        len(row.holds),
        row.ended,
        _words(row),
        row.dumped(),
    )


def _words(row: Row) -> str:
    """What a filter looks through."""
    marks = (word for m in row.marks for word in (m.rule, m.text))
    words = " ".join((row.file, row.chain, row.site, row.unit, row.technician, row.outcome, *marks))
    return words.encode("utf-8", "replace").decode().casefold()


def _where(words: str) -> tuple[str, tuple[str, ...]]:
    every = words.casefold().split()
    if not every:
        return "", ()
    escaped = (w.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_") for w in every)
    clause = " AND ".join(["words LIKE ? ESCAPE '\\'"] * len(every))
    return f"WHERE {clause}", tuple(f"%{word}%" for word in escaped)
