"""Rows of fields: as found beside as left, the limits with the reading on them, the verdict."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.face.bars import Gauge
from asleft.face.rows.row import Row
from asleft.face.rows.verdicts import badness, keys_of, sign, worst
from asleft.help import cautions
from asleft.quantity import KINDS, show, unit_of
from asleft.session.acts import Enter
from asleft.session.values import number_of

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Instrument
    from asleft.session.fields import Field
    from asleft.session.state import Entry
    from asleft.visit import View

ONE_LINE = 76
"""Longest help that is read on one line of a small screen."""
SHORT_VALUE = 14
"""Longest entry that a column shows whole."""
WHEN = {
    "": "Papers and plates",
    "dead": "Power off, hands out: prove it dead",
    "isolated": "Power off, locked, proved dead",
    "idle": "Power on, nothing called",
    "blower": "Blower running, no heat",
    "heat_pump": "Heat pump alone",
    "heat": "Heat on",
    "after": "Minutes of all heat",
    "defrost": "Defrost forced",
    "ordinary": "Left to its control",
}
"""What the unit is doing while a field is taken, by the first part of the field's state."""

_SIGNOFF = {True: "Before leaving", False: "If it is left not commissioned"}
"""Groups of the sign-off, by whether a field is asked at every visit."""


def field_rows(view: View, pane: str, system: str) -> Iterator[Row]:
    """The fields of a pane, grouped by the state in which they are taken."""
    caution = cautions()["pane"][pane]
    before = None
    for field in view.ledger.fields.values():
        if field.pane != pane:
            continue
        state = field.state.partition(".")[0]
        when = _SIGNOFF[field.closing] if pane == "signoff" else state
        group = ""
        if when != before:
            group = when if pane == "signoff" else WHEN.get(state, "")
            caution = cautions()["state"].get(state, cautions()["pane"][pane])
            before = when
        yield field_row(view, field, system, group=group, caution=caution)


def field_row(view: View, field: Field, system: str, *, group: str = "", caution: str = "") -> Row:
    """One field: as found beside as left, its limits and its verdict."""
    ledger = view.ledger
    found, now = ledger.as_found(field.id), ledger.current(field.id)
    if field.kind == "instrument":
        used = view.state.instrument(field.id.rpartition(".")[2])
        return Row(
            Enter(field.id),
            field.label,
            now=used.instrument if used else "",
            group=group,
            help=field.help,
            caution=caution,
            findings=keys_of(view, f"instrument.{used.instrument}") if used else (),
            done=used is not None,
        )
    about = _about(view, field.id)
    finding = worst(about)
    stale, refused = ledger.stale(field.id), ledger.refused(field.id)
    verdict = "take again" if stale else "cannot" if refused else _verdict(finding, field.id)
    return Row(
        Enter(field.id),
        field.label,
        found=_shown(field, found, system),
        now=_shown(field, ledger.as_left(field.id), system),
        gauge=_gauge(finding, field, now),
        verdict=verdict if now or stale or refused else "",
        group=group,
        unit=unit_of(field.kind, system) if field.kind in KINDS else "",
        help=field.help + (" Optional." if field.optional else ""),
        choices=field.choices or (("yes", "no") if field.kind == "yes_no" else ()),
        details=_details(field, now),
        caution=caution,
        findings=tuple(f.key for f in about),
        done=now is not None or (field.passing and view.state.power == "on"),
    )


def with_instruments(row: Row, view: View, instruments: Mapping[str, Instrument]) -> Row:
    """Where the row asks for an instrument: those of its role to choose from, each with what it can do."""
    field = view.ledger.fields.get(row.field)
    if field is None or field.kind != "instrument":
        return row
    fitting = [i for i in instruments.values() if i.role == field.id.rpartition(".")[2]]
    lines = [f"{i.id}  {i.name}: {'; '.join(i.accuracy) or 'accuracy not known'}" for i in fitting]
    own = "Your own: NAME | ACCURACY, ACCURACY | YYYY-MM-DD (see help)."
    return replace(row, choices=tuple(i.id for i in fitting), details=(*lines, own))


def _verdict(finding: Finding | None, field_id: str) -> str:
    """The verdict where a finding is about this field first of all; else only where its trouble is told."""
    if finding is None or finding.needs[0] == Enter(field_id) or not finding.failed:
        return sign(finding)
    return f"see {finding.id}"


def _details(field: Field, now: Entry | None) -> tuple[str, ...]:
    """What a line has no room for: how to take it, what may be typed, what was typed."""
    lines = [field.help] if len(field.help) > ONE_LINE else []
    if field.choices:
        lines.append("One of: " + ", ".join(field.choices) + ".")
    if now is not None and len(now.typed) > SHORT_VALUE:
        lines.append(f"Typed: {now.typed}")
    return tuple(lines)


def _shown(field: Field, entry: Entry | None, system: str) -> str:
    if entry is None:
        return ""
    number = number_of(entry.value)
    if number is None or field.kind not in KINDS:
        return str(entry.value)
    return show(number, field.kind, system)


def _about(view: View, field_id: str) -> list[Finding]:
    """Findings that rest on a field, those that it stands first in before the others, worst first."""
    act = Enter(field_id)
    return sorted(view.resting_on(field_id), key=lambda f: (f.needs[0] != act, badness(f)))


def _gauge(finding: Finding | None, field: Field, now: Entry | None) -> Gauge | None:
    """The limits with the reading on them, where what they judge is this very reading."""
    if finding is None or finding.value is None or finding.kind != field.kind or now is None:
        return None
    number = number_of(now.value)
    if number is None or abs(number - finding.value) > 1e-9 * abs(finding.value):
        return None
    return Gauge(finding.value, finding.uncertainty or 0.0, finding.lower, finding.upper)
