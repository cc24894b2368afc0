"""Findings as a page that a supervisor can sign: the job, what is open, then pane by pane, worst first."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from asleft.checks.against import one_stop
from asleft.journal.seals import MEANING
from asleft.line.seen import NOT_SEEN
from asleft.line.text import WIDTH, plain, wrapped
from asleft.quantity import KINDS, show
from asleft.session.state import went_back

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.journal import Seal
    from asleft.line.reading import Read
    from asleft.visit import View

PANES = {
    "ID": "Unit identity",
    "EL": "Electrical checks",
    "BL": "Blower tier",
    "HS": "Heat staging",
    "TD": "Time-delay codes",
    "SQ": "Setting sequence",
    "SO": "Sign-off",
}
"""The pane that a check stands on, by the first part of its id."""

MOST_TOLD = 12
"""Events of a kind that are told by number."""
_WORST = ("fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable")
_GRAVEST = ("hold", "correct", "advise")
_HEAD = 14
"""Columns of the words before what the head of the page says."""


def as_text(found: Read, system: str = "ip", seals: Sequence[Seal] = ()) -> list[str]:
    """The page, a line a string."""
    lines = [plain(found.path.name), *_head("Chain", f"{found.chain}, {len(found.contents.events)} events")]
    if found.contents.trouble:
        lines += _head("", found.contents.trouble)
    elif found.whole:
        lines += _head("", NOT_SEEN)
    if found.view is None:
        return [*lines, "Nothing in it can be judged."]
    view = found.view
    lines += _sealed(seals)
    if back := went_back(view.state.history):
        told = ", ".join(map(str, back[:MOST_TOLD])) + (" …" if len(back) > MOST_TOLD else "")
        lines += _head("Clock", f"went back: dated before the entry before them are events {told}")
    lines += _job(found, view)
    lines += _counted(view.findings)
    lines += ["", "Every ± is U, k = 2. Probability is that of being inside the limits."]
    for prefix, title in PANES.items():
        mine = [f for f in view.findings if f.id.partition("-")[0] == prefix]
        if mine:
            lines += ["", *_pane(title, mine, system)]
    return [*lines, *_TO_SIGN]


_TO_SIGN = (
    "",
    "Accepted, or sent back because",
    "  " + "." * 90,
    "",
    "  name ..............................   date ..............   signature ..........................",
)


def _head(word: str, said: str) -> list[str]:
    return textwrap.wrap(
        plain(said),
        WIDTH,
        initial_indent=f"{word:{_HEAD}}",
        subsequent_indent=" " * _HEAD,
        break_on_hyphens=False,
    )


def _sealed(seals: Sequence[Seal]) -> Iterator[str]:
    for n, seal in enumerate(seals):
        yield from _head("" if n else "Sealed", seal.told)
    if seals:
        yield from _head("", MEANING)
    else:
        yield from _head("Sealed", "no")


def _job(found: Read, view: View) -> Iterator[str]:
    """Whose visit to what it was, with what it was measured, and what was let pass."""
    state, unit = view.state, view.equipment.unit
    signature = state.signature
    if signature is None:
        yield from _head("Signed", "not signed")
    else:
        at = next(event.at for event in state.history if event.n == signature.n)
        yield from _head("Signed", f"{signature.outcome} by {signature.by}, {at}")
    yield from _head("Site", state.text("identity.site") or "not told")
    plate = ", ".join(
        f"{word} {said}"
        for word, id in (
            ("serial", "identity.serial"),
            ("orientation", "identity.orientation"),
            ("kit", "identity.kit"),
            ("outdoor unit", "identity.outdoor"),
        )
        if (said := state.text(id))
    )
    yield from _head("Unit", f"{unit.maker} {unit.model}" + (f": {plate}" if plate else ""))
    people = dict.fromkeys(event.by for event in state.history)
    yield from _head("Worked by", "; ".join(people) or "nobody yet")
    header = found.contents.header["session"]
    if follows := header.get("follows"):
        yield from _head("Follows", f"session {follows}")
    yield from _head("Rules", f"{header['rules']} when opened; judged by today's")
    for n, used in enumerate({u.role: u for u in state.used}.values()):
        until = (
            f"calibrated until {used.calibrated_until}" if used.calibrated_until else "no calibration date"
        )
        how_well = "" if used.accuracy else ", accuracy not known"
        yield from _head("" if n else "Instruments", f"{used.role}: {used.name}, {until}{how_well}")
    for n, told in enumerate(_choices(view)):
        yield from _head("" if n else "Choices", told)
    waived = [f for f in view.findings if f.waived]
    given = {waiver.finding.key: waiver for waiver in state.waivers}
    for n, finding in enumerate(waived):
        waiver = given[finding.key]
        yield from _head("" if n else "Waived", f"{finding.key} by {waiver.by}: {waiver.why}")
    if not waived:
        yield from _head("Waived", "nothing")


def _choices(view: View) -> Iterator[str]:
    """Every topic of which anything is known: the option as found, what was chosen, the option as left."""
    for topic in view.equipment.topic:
        found, chosen, left = (
            option.label if option else ""
            for option in (
                view.ledger.found_option(topic),
                view.ledger.chosen(topic),
                view.ledger.left_option(topic),
            )
        )
        columns = {"as found and as left": found} if found == left else {"as found": found, "as left": left}
        if chosen != left:
            columns["chosen and not set yet"] = chosen
        said = "; ".join(f"{word} {label}" for word, label in columns.items() if label)
        if said:
            yield f"{topic.label}: {said}."


def _counted(findings: tuple[Finding, ...]) -> list[str]:
    """How many findings there are of each verdict, and which are open."""
    counts: Counter[str] = Counter(f.verdict for f in findings)
    still = [f.key for f in findings if f.open]
    told = ", ".join(f"{counts[verdict]} {verdict}" for verdict in _WORST if counts[verdict])
    return [*_head("Findings", told), *_head("Open", ", ".join(still) or "no hold, no correct")]


def _pane(title: str, findings: list[Finding], system: str) -> list[str]:
    """A pane's findings, worst first; what does not concern this unit in a paragraph at its end."""
    lines = [title]
    for finding in sorted(findings, key=_rank):
        if finding.verdict != "not applicable":
            lines += _lines(finding, system)
    beside = [f"{f.key}, {f.text.rstrip('.')}" for f in findings if f.verdict == "not applicable"]
    if beside:
        lines.append(wrapped(f"Not applicable: {'; '.join(beside)}.", "  "))
    return lines


def _rank(finding: Finding) -> tuple[bool, int, int]:
    return (not finding.open, _WORST.index(finding.verdict), _GRAVEST.index(finding.severity))


def _lines(finding: Finding, system: str) -> list[str]:
    word = "waived" if finding.waived else finding.verdict
    words = " ".join(part for part in (finding.text, _margin(finding, system)) if part)
    lines = textwrap.wrap(
        f"{plain(finding.key)}  {plain(words)}",
        WIDTH,
        initial_indent=f"  {word:16} {finding.severity:7} ",
        subsequent_indent=" " * 27,
        break_on_hyphens=False,
    )
    if finding.open and finding.do and finding.do != finding.text:
        lines.append(wrapped(f"Do: {finding.do}", " " * 27))
    return lines


def _margin(finding: Finding, system: str) -> str:
    """How far from the limit, and how likely inside it, where the text does not say."""
    if finding.value is None or finding.margin is None:
        return ""
    difference = "temperature_difference" if finding.kind == "temperature" else finding.kind
    parts = [f"Margin {shown(finding.margin, difference, system)}"]
    if finding.probability is not None and finding.verdict.startswith("conditional"):
        parts.append(f"probability {finding.probability:.2f}")
    return one_stop(", ".join(parts) + ".")


def shown(value: float, kind: str, system: str) -> str:
    """A finding's figure for a person; a plain number where its kind has no unit."""
    return show(value, kind, system) if kind in KINDS else f"{value:.4g}"
