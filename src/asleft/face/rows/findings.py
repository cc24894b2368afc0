"""Rows of findings: what is not simply fine on a pane, and what may be waived."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from asleft.checks import catalogue
from asleft.face.rows.row import Row
from asleft.face.rows.verdicts import SIGNS, badness
from asleft.session.acts import Enter, Mend, Waive
from asleft.session.parts import default_parts, parts_of

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.visit import View

PANE_OF_CHECK = {
    "ID": "identity",
    "EL": "electrical",
    "BL": "blower",
    "HS": "heat",
    "TD": "delay",
    "SQ": "sequence",
    "SO": "signoff",
}
MOST_WAIVED = 5
"""Findings that one row offers to be waived; the sign-off has all of them."""
_MENDED = "Type what was mended, as TEXT or PART: TEXT. What it can change is retaken."


def pane_of(finding: Finding) -> str:
    """The pane that a finding stands on."""
    return PANE_OF_CHECK[finding.id[:2]]


@cache
def _titles() -> Mapping[str, str]:
    return {rule.id: rule.title for rule in catalogue()}


def called(view: View, finding: Finding) -> str:
    """What is judged, in words; of which stage or circuit where there are several."""
    return ", ".join([f"{finding.id} {_titles()[finding.id]}", *_subject(view, finding.subject)])


def _subject(view: View, subject: str) -> Iterator[str]:
    """A subject in words: `stage.1.measured` is stage 1, measured; a setting has its label."""
    what, _, rest = subject.partition(".")
    if what == "setting":
        id, _, address = rest.partition("@")
        setting = view.equipment.setting_of(id)
        places = {place.id: place.label for place in view.equipment.address}
        yield setting.label if setting else id
        if setting and len(setting.address) > 1:
            yield places.get(address, address)
        return
    which, _, of = rest.rpartition(".") if rest.endswith((".predicted", ".measured")) else (rest, "", "")
    if what == "unit":
        of = rest
    elif what == "leg":
        yield which.upper()
    else:
        yield f"{what} {which}"
    if of:
        yield of


def finding_rows(view: View, pane: str) -> Iterator[Row]:
    """Findings of a pane that are not simply fine, worst first."""
    found = [
        f
        for f in view.findings
        if pane_of(f) == pane and (f.failed or f.verdict == "conditional pass") and f.id != "SO-2"
    ]
    first = True
    for finding in sorted(found, key=badness):
        yield finding_row(view, finding, "Findings" if first else "")
        first = False


def finding_row(view: View, finding: Finding, group: str) -> Row:
    """One finding, with what to do; its entry says what was mended."""
    mend = Mend(finding.name) if finding.failed else None
    return Row(
        mend,
        called(view, finding),
        verdict="waived" if finding.waived else SIGNS[finding.verdict],
        group=group,
        help=_MENDED if mend else "What is next leads there by itself.",
        details=(*_told(finding), *((_parts(view, finding),) if mend else ())),
        findings=(finding.key,),
    )


def _told(finding: Finding) -> tuple[str, ...]:
    """What was found, and what to do about a failure."""
    return (finding.text, *((f"Do: {finding.do}",) if finding.do and finding.failed else ()))


def _parts(view: View, finding: Finding) -> str:
    """The parts that can be named, and those that are meant where none is."""
    here = parts_of(view.ledger.fields)
    meant = default_parts(finding.name, here)
    return f"Parts: {', '.join(here)}. Unsaid: {', '.join(meant) or 'these readings alone'}."


def waivable(view: View, row: Row) -> tuple[Finding, ...]:
    """The open corrects that a row is about, those given up first: what may be waived from there."""
    if row.act is None or isinstance(row.act, Waive):
        return ()
    found = (view.finding(key) for key in row.findings)
    open_ = [f for f in found if f and f.open and f.severity == "correct"]
    return tuple(sorted(open_, key=lambda f: not is_given_up(view, f)))[:MOST_WAIVED]


def is_given_up(view: View, finding: Finding) -> bool:
    """Whether it failed, or rests on what somebody noted as one that cannot be had."""
    return finding.failed or any(map(view.ledger.refused, finding.fields))


def given_up(view: View) -> tuple[Finding, ...]:
    """The open corrects of a visit that nothing is left for but a repair or a waiver."""
    return tuple(f for f in view.findings if f.open and f.severity == "correct" and is_given_up(view, f))


def open_row(view: View, finding: Finding, group: str) -> Row:
    """What is open at the sign-off and why; a correct that nobody measured is waived on it."""
    row = finding_row(view, finding, group)
    noted = {note.what.field: note.text for _, note in view.state.could_not if isinstance(note.what, Enter)}
    refused = dict.fromkeys(noted[id] for id in finding.fields if view.ledger.refused(id))
    why = (*row.details, *(f"Noted: {text}" for text in refused))
    row = replace(row, verdict=SIGNS[finding.verdict] or "open", details=why)
    if finding.severity == "correct" and not finding.failed:
        return replace(
            row, act=Waive(finding.name), help="Measure it, or type why it may stand: that waives it."
        )
    return row


def waiver_rows(view: View) -> Iterator[Row]:
    """Failures that a person may let pass, with a reason."""
    first = True
    for finding in view.findings:
        if finding.severity == "correct" and finding.failed and not finding.waived:
            row = finding_row(view, finding, "May be waived, with a reason" if first else "")
            act = Waive(finding.name)
            label, details = f"Waive {row.label}", _told(finding)
            yield replace(row, act=act, label=label, help="Type the reason.", details=details)
            first = False
