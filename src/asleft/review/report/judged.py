"""Findings worst first, the working of those that are not plainly fine, waivers, breaches and remarks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple, assert_never

from asleft.checks import catalogue
from asleft.review.report.entered import SIGNS
from asleft.review.report.words import difference, limits, rank, when, with_u, wrong
from asleft.session.payloads import Broke, CouldNot, Hinted, Mended, Noted, Reported
from asleft.session.saying import refused_words

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.payloads import NotedDone
    from asleft.visit import View


class Judged(NamedTuple):
    """One finding, its figures in a person's units."""

    label: str
    severity: str
    verdict: str
    text: str
    value: str
    limits: str
    margin: str
    wrong: str
    source: str
    do: str


class Working(NamedTuple):
    """How one finding came out, and what usually makes it come out so."""

    label: str
    verdict: str
    text: str
    rule: str
    working: str
    source: str
    why: str
    locks: str
    do: str
    causes: str


class Waived(NamedTuple):
    """One finding let pass by a person. `holds` says whether it still counts."""

    label: str
    by: str
    at: str
    why: str
    holds: str


class Breach(NamedTuple):
    """One act done although an open hold forbade it."""

    event: int
    at: str
    by: str
    hold: str
    text: str


class Remark(NamedTuple):
    """One note, and what it is about."""

    event: int
    by: str
    about: str
    text: str


def findings(view: View, labels: Mapping[str, str], system: str) -> Iterator[Judged]:
    """Every finding that applies, worst first."""
    for finding in sorted(view.findings, key=rank):
        if finding.verdict == "not applicable":
            continue
        plain = finding.verdict == "pass" and finding.value is not None
        yield Judged(
            labels.get(finding.key, finding.key),
            finding.severity,
            _verdict(finding),
            "" if plain else finding.text,
            with_u(finding, system),
            limits(finding, system) if finding.value is not None else "",
            difference(finding.margin, finding.kind, system) if finding.value is not None else "",
            wrong(finding),
            finding.source or "common practice",
            finding.do if finding.do != finding.text and not finding.releases else "",
        )


def beside(view: View, labels: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Findings that do not concern this unit, with the reason."""
    for finding in view.findings:
        if finding.verdict == "not applicable":
            yield labels.get(finding.key, finding.key), finding.text


def workings(view: View, labels: Mapping[str, str]) -> Iterator[Working]:
    """Rule, working, source and cure of every finding that failed or is near its limit, worst first."""
    rules = {rule.id: rule for rule in catalogue()}
    for finding in sorted(view.findings, key=rank):
        if not (finding.failed or finding.verdict == "conditional pass"):
            continue
        rule = rules[finding.id]
        yield Working(
            labels.get(finding.key, finding.key),
            _verdict(finding),
            finding.text,
            rule.rule,
            finding.working,
            finding.source or "common practice",
            rule.why,
            ", ".join(finding.guards) if finding.open else "",
            finding.do,
            rule.causes if finding.failed else "",
        )


def waivers(view: View, labels: Mapping[str, str]) -> Iterator[Waived]:
    """Every waiver that was not taken back, with its reason and whether it counts."""
    holding = {finding.key for finding in view.findings if finding.waived}
    times = {event.n: event.at for event in view.state.history}
    newest = {waiver.finding.key: waiver.n for waiver in view.state.waivers}
    for waiver in view.state.waivers:
        key = waiver.finding.key
        holds = key in holding and newest[key] == waiver.n
        word = "counts" if holds else "counts no longer"
        yield Waived(labels.get(key, key), waiver.by, when(times[waiver.n]), waiver.why, word)


def breaches(view: View) -> Iterator[Breach]:
    """Every act that broke a hold; taking one back in the record does not undo it."""
    for event in view.state.history:
        if isinstance(event.what, Broke):
            yield Breach(event.n, when(event.at), event.by, event.what.hold, event.what.text)


def remarks(view: View) -> Iterator[Remark]:
    """What was noted, breaches apart."""
    for note in view.state.notes:
        about = _about(note.what)
        if about is not None:
            yield Remark(note.n, note.by, about, note.text)


def _about(note: NotedDone) -> str | None:
    """What a note is about, besides its text; None for a breach, which is told elsewhere."""
    match note:
        case Noted():
            return ""
        case Mended():
            return f"mended: {note.finding.key}"
        case CouldNot():
            return f"could not be had: {refused_words(note)}"
        case Broke():
            return None
        case Reported():
            return f"fault reported: {note.reports}"
        case Hinted():
            return f"hint {note.n}"
        case _:
            assert_never(note)


def _verdict(finding: Finding) -> str:
    return SIGNS[finding.verdict] + (", waived" if finding.waived else "")
