"""`asleft audit PATH…`: sessions worst first, as text, JSON or a table for a spreadsheet."""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from asleft.checks.catalogue import called
from asleft.line.board import cell
from asleft.line.seen import memory_file
from asleft.line.text import WIDTH, dumped, plain, say, shortened, wrapped
from asleft.review.audit import audit
from asleft.review.row import Row
from asleft.review.rules import rules
from asleft.review.store import Run

FINE, WRONG = 0, 1
SHOWN = 40
"""Rows of the text; JSON, CSV and the screen have them all."""
HEAVY = 30.0
"""From this weight of its worst row on, an audit ends with 1."""
COLUMNS = (
    *("file", "weight", "chain", "mode", "site", "unit", "technician", "began", "ended", "events", "outcome"),
    *(
        "review",
        "holds",
        "breaches",
        "failed",
        "open",
        "waived",
        "wrong",
        "marks",
        "seals",
        "id",
        "follows",
        "sha256",
    ),
)
SUMMARIES = ("technician", "unit", "month")


def run(
    paths: Sequence[Path],
    *,
    as_json: bool = False,
    as_csv: bool = False,
    full: bool = False,
    signers: Path | None = None,
) -> int:
    """Audit and print; 1 where something speaks heavily against a session. Raises OSError."""
    kept = None if full else cache_file()
    with Run(datetime.now(UTC)) as found, _Progress() as progress:
        audit(paths, found, cache=kept, memory=memory_file(), signers=signers, told=progress.told)
        progress.done()
        if as_json:
            _print_json(found)
        elif as_csv:
            _print_csv(found)
        else:
            for line in text(found):
                say(line)
        return WRONG if found.worst() >= HEAVY else FINE


def cache_file() -> Path:
    """Where results are kept between audits."""
    from asleft.settings.places import cache_folder

    return cache_folder() / "audit.sqlite"


class _Progress:
    """How far it is, on standard error, where somebody watches that."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()
        self._length = 0

    def __enter__(self) -> _Progress:
        return self

    def __exit__(self, *_: object) -> None:
        self.done()

    def told(self, files: int) -> None:
        """So many files were looked at."""
        if self._shown:
            line = f"asleft: {files} files"
            self._length = len(line)
            sys.stderr.write(f"\r{line}")
            sys.stderr.flush()

    def done(self) -> None:
        """Leave no trace of it."""
        if self._length:
            sys.stderr.write("\r" + " " * self._length + "\r")
            self._length = 0


def text(found: Run) -> Iterator[str]:
    """Every hold that fails, a line each; the worst sessions, each with its marks; then the summaries."""
    failing = [said for row in found.holding() for said in as_lines(row)]
    if failing:
        yield f"Holds that fail in a house as it was left: {len(failing)}"
        yield from (f"  {line}" for line in failing)
        yield ""
    count = found.count()
    yield f"{count} sessions, worst first"
    for row in found.page(0, SHOWN):
        who = ", ".join(part for part in (row.site, row.unit, row.technician, row.began[:10]) if part)
        yield ""
        yield shortened(plain(row.file), WIDTH)
        yield wrapped(f"{who or row.chain}; {row.outcome or 'not signed'}", "  ")
        for mark in row.marks:
            yield wrapped(f"{mark.rule}: {mark.text}", "  - ", rest="    ")
    if count > SHOWN:
        yield ""
        yield f"and {count - SHOWN} more; --json, --csv and the screen have them all"
    for name in SUMMARIES:
        yield ""
        yield f"By {name}: sessions, commissioned, marked"
        for summary in found.by(name):
            figures = f"{summary.sessions:6} {summary.commissioned:6} {summary.marked:6}"
            yield f"  {figures}  {plain(summary.name)}"
    for title, counted in (
        ("Checks that fail most", found.most_failed()),
        ("Settings found otherwise than they were left", found.most_wrong()),
    ):
        yield ""
        yield title
        if not counted:
            yield "  none"
        for one in counted:
            yield f"  {one.sessions:6}  {plain(called(one.name))}"


def as_lines(row: Row) -> Iterator[str]:
    """The holds that fail of one visit: where, what, since when, and how it was left."""
    for hold in row.holds:
        signed = f"signed {hold.signed}" if hold.signed else "not signed"
        since = f"since {hold.since[:16].replace('T', ' ')}Z"
        where = row.site or row.file
        what = f"{hold.check.split(' ')[0]} {hold.text.removesuffix('.')}"
        yield plain(f"{where}: {what}; {since}; left with power {hold.power}, {signed}")


def as_mapping(row: Row) -> dict[str, Any]:
    """A row for a script: as it is, with its weight."""
    return {**row.as_mapping(), "weight": round(row.weight, 3)}


def summaries(found: Run) -> dict[str, Any]:
    """What fails most, and who has most marked."""
    return {
        **{name: [summary._asdict() for summary in found.by(name)] for name in SUMMARIES},
        "failed": [one._asdict() for one in found.most_failed()],
        "wrong": [one._asdict() for one in found.most_wrong()],
    }


def _print_json(found: Run) -> None:
    """A row at a time: no audit is too large for that."""
    holds = [
        {"file": row.file, "site": row.site, **hold._asdict()}
        for row in found.holding()
        for hold in row.holds
    ]
    say('{"holds": ' + dumped(holds) + ', "sessions": [')
    comma = ""
    for row in found.rows():
        sys.stdout.write(comma + json.dumps(as_mapping(row), ensure_ascii=True, allow_nan=False))
        comma = ",\n"
    say('\n], "rules": ' + dumped({rule.id: rule.why for rule in rules().values()}))
    say(', "summaries": ' + dumped(summaries(found)) + "}")


def _print_csv(found: Run) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in found.rows():
        told = {**as_mapping(row), "marks": [f"{mark.rule}: {mark.text}" for mark in row.marks]}
        told["holds"] = list(as_lines(row))
        writer.writerow([_joined(told[name]) for name in COLUMNS])


def _joined(value: object) -> str:
    return cell("; ".join(map(str, value)) if isinstance(value, list | tuple) else value)
