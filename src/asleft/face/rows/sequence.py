"""Rows of the setting sequence: one setting at one address, found, meant and left, and its step now."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.face.rows.row import Row
from asleft.face.rows.safety import power_row
from asleft.face.rows.verdicts import keys_of
from asleft.help import cautions
from asleft.session.acts import Look, ReadBack, Write

if TYPE_CHECKING:
    from asleft.sequence.steps import Step
    from asleft.visit import View


def sequence_rows(view: View, system: str) -> Iterator[Row]:
    """Every setting at every address, address by address as the plan walks them, then power."""
    address_before = ""
    labels = {a.id: a.label for a in view.equipment.address}
    for setting, address in view.equipment.by_address():
        group = ""
        if address != address_before:
            group, address_before = labels.get(address, address), address
        place = f"{setting.id}@{address}"
        steps: dict[str, Step] = {
            s.do: s for s in view.plan if (s.setting, s.address) == (setting.id, address)
        }
        pending = [
            d for d in ("look", "write", "read_back") if d in steps and steps[d].pending and steps[d].ready
        ]
        do = view.next.do if view.next.setting == setting.id and view.next.address == address else ""
        if do not in ("look", "write", "read_back"):
            do = (
                pending[0] if pending else "read_back" if view.ledger.acts_on(setting.id, address) else "look"
            )
        step = steps.get(do)
        found = view.ledger.found_at(setting.id, address)
        meant = view.ledger.planned().get((setting.id, address), "")
        lines = [step.text, *step.how, *([step.why] if step.why else [])] if step else []
        if step and step.code:
            lines[1:1] = _keys(view, setting.id, address, meant) if do == "write" else [f"Key: {step.code}"]
        yield Row(
            _ACTS[do](setting.id, address),
            setting.label,
            found=found.shown if found else "",
            now=view.ledger.left_at(setting.id, address) or "",
            bar=meant,
            verdict=_step_word(view, place, do, bool(pending)),
            group=group,
            help=_STEP_HELP[do],
            details=tuple(lines),
            caution=cautions()["pane"]["sequence"],
            findings=keys_of(view, f"setting.{place}"),
            done=view.ledger.shown(setting.id, address) is not None,
        )
    yield power_row(view, "Power")


def _keys(view: View, setting: str, address: str, meant: str) -> list[str]:
    """What is keyed to write a value, a line a part, and what the control shows then."""
    code = view.equipment.code_of(setting, meant)
    if code is None:
        return []
    labels = {a.id: a.label for a in view.equipment.address}
    lines = [
        ("Then key" if n else "Key") + ("" if at == address else f" at {labels[at]}") + f": {characters}"
        for n, (at, characters) in enumerate(code.keyed(address))
    ]
    return [*lines, f"The control then shows: {code.shown}"]


_ACTS: dict[str, type[Look] | type[Write] | type[ReadBack]] = {
    "look": Look,
    "write": Write,
    "read_back": ReadBack,
}
_STEP_HELP = {
    "look": "Type what the control shows, before anything is written.",
    "write": "Set it, then type what the control shows.",
    "read_back": "Ask the control again and type what it shows.",
}


def _step_word(view: View, place: str, do: str, pending: bool) -> str:
    subject = f"setting.{place}"
    bad = [f for f in view.findings if f.subject == subject and f.failed]
    if bad:
        return "FAIL"
    if not pending:
        finding = view.finding(f"SQ-3 {subject}")
        if finding and finding.releases:
            return "pass"
        id, _, address = place.partition("@")
        meant, acts = view.ledger.planned().get((id, address)), view.ledger.acts_on(id, address)
        if any(a.kind == "wrote" for a in acts):
            return "written"
        if meant is not None and acts and acts[-1].shown != meant:
            return "to write"
        return "looked at" if acts else ""
    return {"look": "look", "write": "write", "read_back": "read back"}[do]
