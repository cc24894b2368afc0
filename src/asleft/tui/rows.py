"""What stands on each pane, row by row: a pure function of a view. Widgets only draw it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.guide import pane_of_role
from asleft.help import cautions
from asleft.quantity import KINDS, show, unit_of
from asleft.tui.bars import bar

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Topic
    from asleft.installation.outlook import Figure, TopicOutlook
    from asleft.sequence.plan import Step
    from asleft.session.fields import Field
    from asleft.session.state import Entry
    from asleft.visit import View

TITLES = {
    "identity": "Unit identity",
    "electrical": "Electrical checks",
    "blower": "Blower tier",
    "heat": "Heat staging",
    "delay": "Time-delay codes",
    "sequence": "Setting sequence",
    "signoff": "Sign-off",
}
SHORT = {
    "identity": "Identity",
    "electrical": "Electrical",
    "blower": "Blower",
    "heat": "Heat",
    "delay": "Delay",
    "sequence": "Sequence",
    "signoff": "Sign-off",
}
PANE_OF_CHECK = {
    "ID": "identity",
    "EL": "electrical",
    "BL": "blower",
    "HS": "heat",
    "TD": "delay",
    "SQ": "sequence",
    "SO": "signoff",
}
SIGNS = {
    "pass": "pass",
    "conditional pass": "pass, near",
    "conditional fail": "FAIL, near",
    "fail": "FAIL",
    "not measured": "",
    "not applicable": "n/a",
}
WORST = ("fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable")
BAR = 12
THIRD = {"sequence": "meant"}
"""What stands over the third column where it is not limits."""
Maker = Callable[["View", str], Iterator["Row"]]
ACKNOWLEDGEMENTS = ("EL-1", "EL-18", "EL-19")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a ledger. `left` is the act that its entry line submits; empty for a row only to be read."""

    left: str
    label: str
    found: str = ""
    now: str = ""
    bar: str = ""
    verdict: str = ""
    group: str = ""
    unit: str = ""
    help: str = ""
    choices: tuple[str, ...] = ()
    details: tuple[str, ...] = ()
    caution: str = ""
    findings: tuple[str, ...] = ()
    prefill: str = ""


def rows(view: View, pane: str, system: str) -> tuple[Row, ...]:
    """The rows of a pane, in order; what `next` names is always among them."""
    made = tuple(_MAKERS[pane](view, system))
    following = view.next
    if following.pane == pane and following.enter and all(r.left != following.enter for r in made):
        made = (*made, Row(following.enter, following.text, group="To do now", help=following.why))
    return made


def pane_state(view: View, pane: str) -> str:
    """How a pane stands, in a word or a sign: `ok`, `2!` for failures, the number still open, or `n/a`."""
    found = [f for f in view.findings if PANE_OF_CHECK[f.id[:2]] == pane and f.id != "SO-2"]
    failed = sum(f.failed and f.open for f in found)
    if failed:
        return f"{failed}!"
    waiting = sum(f.open for f in found)
    return str(waiting) if waiting else "ok"


def counts(view: View) -> dict[str, int]:
    """Open findings by severity."""
    return {
        "hold": sum(f.open and f.severity == "hold" for f in view.findings),
        "correct": sum(f.open and f.severity == "correct" for f in view.findings),
        "told": sum(f.failed and f.severity == "advise" for f in view.findings),
    }


# ---- fields


def _fields(view: View, pane: str, system: str) -> Iterator[Row]:
    caution = cautions()["pane"][pane]
    before = None
    for field in view.ledger.fields.values():
        if field.pane != pane:
            continue
        state = field.state.partition(".")[0]
        group = ""
        if state != before:
            group, caution = _GROUPS.get(state, ""), cautions()["state"].get(state, cautions()["pane"][pane])
            before = state
        yield field_row(view, field, system, group=group, caution=caution)


_GROUPS = {
    "": "Papers and plates",
    "isolated": "Power off, locked, proved dead",
    "idle": "Power on, nothing called",
    "blower": "Blower running, no heat",
    "heat": "Heat on",
}


def field_row(view: View, field: Field, system: str, *, group: str = "", caution: str = "") -> Row:
    """One field: as found beside as left, its limits and its verdict."""
    ledger = view.ledger
    found, now = ledger.as_found(field.id), ledger.current(field.id)
    if field.kind == "instrument":
        used = view.state.instrument(field.id.rpartition(".")[2])
        return Row(
            field.id,
            field.label,
            now=used.instrument if used else "",
            group=group,
            help=field.help,
            caution=caution,
            findings=_keys(view, f"instrument.{used.instrument}") if used else (),
        )
    finding = _worst(view, field.id)
    stale, refused = ledger.stale(field.id), ledger.refused(field.id)
    verdict = "take again" if stale else "cannot" if refused else _verdict(finding)
    return Row(
        field.id,
        field.label,
        found=_shown(field, found, system),
        now=_shown(field, now, system),
        bar=_bar(finding, field),
        verdict=verdict if now or stale or refused else "",
        group=group,
        unit=unit_of(field.kind, system) if field.kind in KINDS else "",
        help=field.help + (" Optional." if field.optional else ""),
        choices=field.choices or (("yes", "no") if field.kind == "yes_no" else ()),
        caution=caution,
        findings=tuple(f.key for f in _about(view, field.id)),
    )


def _shown(field: Field, entry: Entry | None, system: str) -> str:
    if entry is None:
        return ""
    if isinstance(entry.value, bool):
        return "yes" if entry.value else "no"
    if isinstance(entry.value, str) or field.kind not in KINDS:
        return str(entry.value)
    return show(float(entry.value), field.kind, system)


def _about(view: View, field_id: str) -> list[Finding]:
    """Findings that rest on a field, those that it stands first in before the others, worst first."""
    found = [f for f in view.findings if field_id in f.fields]
    return sorted(found, key=lambda f: (f.fields[0] != field_id, WORST.index(f.verdict)))


def _worst(view: View, field_id: str) -> Finding | None:
    about = _about(view, field_id)
    own = [f for f in about if f.fields[0] == field_id] or about
    judged = [f for f in own if f.verdict not in ("not measured", "not applicable")]
    return min(judged, key=lambda f: WORST.index(f.verdict), default=None)


def _verdict(finding: Finding | None) -> str:
    return SIGNS[finding.verdict] if finding else ""


def _bar(finding: Finding | None, field: Field) -> str:
    if finding is None or finding.value is None or finding.kind != field.kind:
        return ""
    return bar(finding.value, finding.uncertainty or 0.0, finding.lower, finding.upper, BAR)


def _keys(view: View, subject: str) -> tuple[str, ...]:
    return tuple(f.key for f in view.findings if f.subject == subject)


# ---- choices

_COLUMNS = {
    "airflow": "airflow",
    "static": "static",
    "power": "watts",
    "heat": "heat",
    "rise": "rise",
    "leaving_air": "leaving air",
    "lockout": "lockout",
    "above_balance": "above balance",
    "delay": "delay",
    "droop": "room falls",
    "best_case": "best case",
    "energy": "energy",
    "run_on": "run-on",
}


def _topics(view: View, pane: str, system: str) -> Iterator[Row]:
    first = True
    for topic in view.equipment.topic:
        if pane_of_role(topic.role) == pane:
            yield _topic_row(view, topic, system, group="Choices" if first else "")
            first = False


def _topic_row(view: View, topic: Topic, system: str, *, group: str = "") -> Row:
    ledger, outlook = view.ledger, view.forecast.topics[topic.id]
    chosen, in_force = ledger.chosen(topic), ledger.in_force(topic)
    left = f"choose:{topic.id}"
    keys = tuple(f.key for f in view.findings if left in f.fields)
    worst = [
        f for f in view.findings if f.key in keys and f.verdict not in ("not measured", "not applicable")
    ]
    ids = tuple(dict.fromkeys(o.id for o in ledger.options(topic)))
    return Row(
        left,
        topic.label,
        found=in_force.label if in_force else "",
        now=chosen.label if chosen else "",
        verdict=_verdict(min(worst, key=lambda f: WORST.index(f.verdict), default=None)),
        group=group,
        help=topic.help or "Left and right go through the options; Enter takes one.",
        choices=ids,
        details=tuple(_option_lines(view, topic, outlook, system)),
        findings=keys,
        prefill=outlook.recommended or "",
    )


def _option_lines(view: View, topic: Topic, outlook: TopicOutlook, system: str) -> Iterator[str]:
    """Every option side by side: what it would do, which is recommended and why."""
    names = [n for n in _COLUMNS if any(n in o.figures for o in outlook.outlooks)][:5]
    heads = ["option", *(_COLUMNS[n] for n in names), ""]
    lines = [heads]
    chosen = view.ledger.chosen(topic)
    for option in outlook.outlooks:
        marks = []
        if option.recommended:
            marks.append("recommended")
        if chosen is not None and chosen.id == option.option:
            marks.append("chosen")
        failing = [j.check for j in option.judged if not j.passes]
        if failing:
            marks.append("fails " + " ".join(failing))
        lines.append(
            [option.option, *(_figure(option.figures.get(n), system) for n in names), ", ".join(marks)]
        )
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    for line in lines:
        yield " ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
    if outlook.why:
        yield outlook.why
    elif outlook.missing:
        labels = [view.ledger.fields[f].label for f in outlook.missing if f in view.ledger.fields]
        yield "To recommend one, still needed: " + ", ".join(labels) + "."


def _figure(figure: Figure | None, system: str) -> str:
    if figure is None:
        return ""
    return show(figure.value, figure.kind, system)


# ---- acknowledgements and power


def _acknowledgements(view: View) -> Iterator[Row]:
    first = True
    for id in ACKNOWLEDGEMENTS:
        for finding in (f for f in view.findings if f.id == id):
            yield Row(
                f"acknowledge:{id}",
                _titles()[id],
                now="yes" if finding.verdict == "pass" else "",
                verdict={"pass": "given", "not applicable": "n/a"}.get(finding.verdict, "asked for"),
                group="Before hands, power and live readings" if first else "",
                help="Type yes when all of it is so.",
                details=(_measures()[id],),
                caution=cautions()["pane"]["electrical"],
                choices=("yes",),
                findings=(finding.key,),
            )
            first = False
    yield _power_row(view)


def _titles() -> dict[str, str]:
    from asleft.checks import catalogue

    return {rule.id: rule.title for rule in catalogue()}


def _measures() -> dict[str, str]:
    from asleft.checks import catalogue

    return {rule.id: rule.do or rule.measure for rule in catalogue()}


def _power_row(view: View) -> Row:
    return Row(
        "power",
        "Power at the unit",
        now=view.state.power,
        help="Type off or on as you switch it. Until somebody says, a unit counts as on.",
        choices=("off", "on"),
        caution=cautions()["pane"]["electrical"],
    )


# ---- findings


def _findings(view: View, pane: str) -> Iterator[Row]:
    """Findings of a pane that are not simply fine, worst first."""
    found = [
        f
        for f in view.findings
        if PANE_OF_CHECK[f.id[:2]] == pane
        and (f.failed or f.verdict == "conditional pass")
        and f.id != "SO-2"
    ]
    first = True
    for finding in sorted(found, key=lambda f: WORST.index(f.verdict)):
        yield _finding_row(finding, "Findings" if first else "")
        first = False


_MENDED = "Type what was mended; the readings it rests on are then taken again."


def _finding_row(finding: Finding, group: str) -> Row:
    mended = f"mended:{finding.id}/{finding.subject}" if finding.failed else ""
    return Row(
        mended,
        f"{finding.id} {finding.subject}",
        verdict="waived" if finding.waived else SIGNS[finding.verdict],
        group=group,
        help=_MENDED if mended else "F2 goes to what is missing.",
        details=(finding.text, *((f"Do: {finding.do}",) if finding.do and finding.failed else ())),
        findings=(finding.key,),
    )


def _waivers(view: View) -> Iterator[Row]:
    first = True
    for finding in view.findings:
        if finding.severity == "correct" and finding.failed and not finding.waived:
            row = _finding_row(finding, "May be waived, with a reason" if first else "")
            left = f"waive:{finding.id}/{finding.subject}"
            yield replace(
                row, left=left, label=f"Waive {finding.id} {finding.subject}", help="Type the reason."
            )
            first = False


# ---- sequence


def _sequence(view: View, system: str) -> Iterator[Row]:
    address_before = ""
    labels = {a.id: a.label for a in view.equipment.address}
    for setting, address in view.equipment.places():
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
        left = {"look": "found", "write": "wrote", "read_back": "read_back"}[do] + f":{place}"
        step = steps.get(do)
        found = view.ledger.acts_on(setting.id, address, "found")
        meant = view.ledger.planned().get((setting.id, address), "")
        lines = [step.text, *step.how] if step else []
        if step and step.code:
            lines.insert(1, f"Key: {step.code}")
        yield Row(
            left,
            setting.label,
            found=found[-1].shown if found else "",
            now=view.ledger.shown(setting.id, address) or "",
            bar=meant,
            verdict=_step_word(view, place, do, bool(pending)),
            group=group,
            help=_STEP_HELP[do],
            details=tuple(lines),
            caution=cautions()["pane"]["sequence"],
            findings=_keys(view, f"setting.{place}"),
        )
    yield replace(_power_row(view), group="Power")


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
        return "pass" if finding and finding.releases else "looked at" if view.ledger.acts else ""
    return {"look": "look", "write": "write", "read_back": "read back"}[do]


# ---- sign-off


def _signoff(view: View, system: str) -> Iterator[Row]:
    open_ = [f for f in view.findings if f.open and f.id not in ("SO-2", "SO-3")]
    summary = view.finding("SO-2 unit")
    yield from _findings(view, "signoff")
    for n, finding in enumerate(open_):
        row = _finding_row(finding, f"Open: {len(open_)}" if n == 0 else "")
        word = SIGNS[finding.verdict] or "open"
        yield replace(row, found=TITLES[PANE_OF_CHECK[finding.id[:2]]].split()[0], verdict=word)
    yield from _waivers(view)
    yield from _fields(view, "signoff", system)
    signature = view.state.signature
    yield Row(
        "sign",
        "Signature",
        now=signature.outcome if signature else "",
        verdict="signed" if signature else "",
        group="Signing",
        help="commissioned, or not commissioned. Any later change makes it unsigned.",
        choices=("commissioned", "not commissioned"),
        details=(summary.text,) if summary else (),
        caution=cautions()["pane"]["signoff"],
        findings=("SO-2 unit", "SO-3 unit"),
        prefill=view.next.outcome,
    )
    yield Row("note", "Remark", help="Anything that the next person should know.", group="Remarks")


def _identity(view: View, system: str) -> Iterator[Row]:
    yield from _fields(view, "identity", system)
    yield from _findings(view, "identity")


def _electrical(view: View, system: str) -> Iterator[Row]:
    yield from _acknowledgements(view)
    yield from _fields(view, "electrical", system)
    yield from _findings(view, "electrical")


def _chosen_pane(pane: str) -> Maker:
    def make(view: View, system: str) -> Iterator[Row]:
        yield from _fields(view, pane, system)
        yield from _topics(view, pane, system)
        yield from _findings(view, pane)

    return make


_MAKERS: dict[str, Maker] = {
    "identity": _identity,
    "electrical": _electrical,
    "blower": _chosen_pane("blower"),
    "heat": _chosen_pane("heat"),
    "delay": _chosen_pane("delay"),
    "sequence": _sequence,
    "signoff": _signoff,
}
