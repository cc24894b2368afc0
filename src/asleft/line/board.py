"""`asleft board FOLDER` once, as text, JSON or a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import asdict, fields
from pathlib import Path

from asleft.drill.classroom.board import OVER, Board, ClassNow, Trainee
from asleft.line.text import WIDTH, complain, dumped, plain, say, say_all, shortened

FINE, REFUSED = 0, 2
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet take a cell for something to reckon."""


def run(folder: Path, *, as_json: bool, as_csv: bool) -> int:
    """Print how a class stands."""
    now = Board(folder).look()
    if now.trouble:
        complain(now.trouble)
        return REFUSED
    if as_json:
        drills, missed = ([asdict(item) for item in items] for items in (now.rows, now.missed))
        say(dumped({"drills": drills, "missed": missed, "cut": now.cut}))
    elif as_csv:
        say(table(now).rstrip("\n"))
    else:
        say_all(text(now))
    return FINE


def table(now: ClassNow) -> str:
    """The rows for a spreadsheet; no cell is taken for a formula."""
    out = io.StringIO()
    names = [field.name for field in fields(Trainee)]
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    for row in now.rows:
        values = asdict(row)
        writer.writerow([cell(values[name]) for name in names])
    return out.getvalue()


def cell(value: object) -> str:
    """A value for a spreadsheet."""
    shown = " ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
    shown = plain(shown)
    return f"'{shown}" if shown.startswith(_FORMULA) and not _number(shown) else shown


def _number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def text(now: ClassNow) -> Iterator[str]:
    """The rows as plain lines, then what was missed most."""
    if not now.rows:
        yield "No drill is in this folder yet. asleft drill LESSON --out FOLDER puts one here."
    for row in now.rows:
        yield shortened(plain(f"{row.who}: {standing(row)}"), WIDTH)
    for missed in now.missed:
        yield f"Missed in {missed.missed} of {missed.hidden}: {missed.called}"
    yield from now.notes


def standing(row: Trainee) -> str:
    """How a drill stands, in words."""
    parts = []
    if row.trouble:
        parts.append(row.trouble)
    if row.breaches:
        parts.append(f"BREACHES {row.breaches}")
    if row.state == OVER:
        hidden = len(row.hidden)
        parts.append(f"over, {row.found} of {hidden} found, {row.false} false, {row.minutes:g} min")
    elif row.state:
        parts.append(f"{row.state}, {row.entries} entries, {row.reports} reports, {row.hints} hints")
        parts.append(f"still for {row.still:g} min after {row.last}" if row.last else "nothing entered yet")
    return "; ".join(parts)
