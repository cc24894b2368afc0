"""What is told besides questions: the job, what was taken and what it changed, how it was left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.face.meaning import both
from asleft.face.rows import counts
from asleft.face.rows.verdicts import badness
from asleft.quantity import KINDS
from asleft.session.values import number_of

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.face.rows import Row
    from asleft.visit import View, Visit

VERDICTS = {
    "pass": "passes",
    "conditional pass": "passes, but nearer to its limit than the uncertainty",
    "conditional fail": "FAILS, by no more than the uncertainty",
    "fail": "FAILS",
}
MOST_PASSES = 6
"""Findings that pass which are told one by one; more are only named."""


def opening(visit: Visit) -> Iterator[str]:
    """The job, and how much is open."""
    view, unit = visit.view, visit.view.equipment.unit
    site = view.state.text("identity.site") or "a new site"
    yield f"asleft, {visit.mode}: {unit.maker} {unit.model} at {site}; {_stage(view)}."
    yield how_open(view)


def _stage(view: View) -> str:
    return "as left" if any(a.kind == "wrote" for a in view.state.acts) else "as found"


def how_open(view: View) -> str:
    """How many findings are open, by what they ask for."""
    open_ = counts(view)
    return f"Open findings: {open_['hold']} hold, {open_['correct']} correct; told: {open_['told']}."


def how_saved(view: View) -> str:
    """How far the session is on disk, and whether it is signed."""
    signature, n = view.state.signature, view.state.last_n
    signed = f"signed {signature.outcome}" if signature else "not signed"
    return f"{n} {'entry' if n == 1 else 'entries'} saved, {signed}"


def taken(view: View, row: Row, text: str, system: str) -> str:
    """An entry with its meaning, and the number under which it is saved."""
    return f"{row.label}: {_meaning(view, row, text, system)}, saved as entry {view.state.last_n}."


def _meaning(view: View, row: Row, text: str, system: str) -> str:
    field, entry = view.ledger.fields.get(row.field), view.state.latest(row.field)
    if field is None or entry is None or entry.n != view.state.last_n:
        return text
    number = number_of(entry.value)
    if number is None or field.kind not in KINDS:
        return str(entry.value)
    first, *other = both(number, field.kind, system)
    return first + (f" ({other[0]})" if other else "")


def changed(before: View, after: View) -> list[Finding]:
    """The findings whose verdict an entry changed, worst first; not the one that sums up the others."""
    was = {f.key: f.verdict for f in before.findings}
    found = [f for f in after.findings if was.get(f.key, "not measured") != f.verdict]
    return sorted((f for f in found if f.verdict in VERDICTS and f.id != "SO-2"), key=badness)


def reopened(before: View, after: View) -> list[Finding]:
    """The findings that had a verdict and wait for readings again."""
    was = {f.key: f.verdict for f in before.findings}
    return [f for f in after.findings if f.verdict == "not measured" and was.get(f.key) in VERDICTS]


def verdicts(before: View, after: View) -> Iterator[str]:
    """What an entry changed, in words: failures and near ones with their text, worst first, then passes."""
    found = changed(before, after)
    passes = [f for f in found if f.verdict == "pass"]
    for finding in found:
        if finding.verdict != "pass" or len(passes) <= MOST_PASSES:
            yield verdict(finding)
    if len(passes) > MOST_PASSES:
        yield f"These {len(passes)} pass: {', '.join(f.key for f in passes)}."
    again = reopened(before, after)
    if again:
        yield f"To be judged again, {len(again)}: {', '.join(f.key for f in again)}."


def verdict(finding: Finding) -> str:
    """A finding in words; for a failure, what it locks and what to do."""
    text = f"{finding.key} {VERDICTS.get(finding.verdict, finding.verdict)}: {finding.text}"
    if finding.failed and finding.waived:
        return f"{text} It is waived."
    if finding.failed and finding.severity == "hold" and finding.guards:
        text += f" It locks: {', '.join(finding.guards)}."
    return f"{text} Do: {finding.do}" if finding.failed and finding.do else text
