"""`asleft check --explain`: what a check asks, why, and what to do, from the catalogue of checks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TextIO

from asleft.checks.catalogue import EVERY, catalogue
from asleft.equipment.errors import described, nearest
from asleft.line.check_page import PANES
from asleft.line.equipment_parts import rests
from asleft.line.text import dumped, say, say_all, wrapped

if TYPE_CHECKING:
    from asleft.checks.catalogue import Rule


class UnknownCheck(LookupError):
    """No check of this id."""


def run(wanted: str, *, as_json: bool, out: TextIO | None = None) -> int:
    """Print one check as a page, or all of them a line each where none is named. Raises UnknownCheck."""
    rules = {rule.id: rule for rule in catalogue()}
    if not wanted:
        if as_json:
            say(dumped({"checks": [as_mapping(rule) for rule in rules.values()]}), out)
        else:
            say_all(_list(), out)
        return 0
    rule = rules.get(wanted.strip().upper())
    if rule is None:
        raise UnknownCheck(
            f"no check {described(wanted)}: expected {nearest(wanted.strip().upper(), [*rules])}"
        )
    if as_json:
        say(dumped(as_mapping(rule)), out)
    else:
        say_all(_page(rule), out)
    return 0


def _list() -> list[str]:
    lines = []
    for prefix, title in PANES.items():
        lines += [title]
        lines += [
            f"  {rule.id:6} {rule.severity:8} {rule.title}"
            for rule in catalogue()
            if rule.id.partition("-")[0] == prefix
        ]
    return [*lines, "", "asleft check --explain ID tells one check in full."]


def _page(rule: Rule) -> list[str]:
    rest = rests().get(rule.id, {})
    needs, reads = (", ".join(rest.get(key, ())) for key in ("needs", "reads"))
    lines = [f"{rule.id}  {rule.title}", wrapped(rule.rule)]
    for word, said in (
        ("Severity", rule.severity + _SEVERITY[rule.severity]),
        ("Source", rule.source),
        ("Why it matters", rule.why),
        ("How to measure", rule.measure),
        ("Usual causes", rule.causes),
        ("What to do", rule.do),
        ("Locks", _locks(rule)),
        ("Needs of the equipment file", needs),
        ("Also reads there", reads),
    ):
        if said:
            lines += ["", word, wrapped(said, "  ")]
    return lines


_SEVERITY = {
    "hold": ": what it guards stays locked until it passes, and nobody can waive it",
    "correct": ": must pass, or be waived with a reason and a name, before the record is signed",
    "advise": ": shown and recorded",
}


def _locks(rule: Rule) -> str:
    """The acts that its findings lock, by which of its findings."""
    parts = list(rule.guards.get(EVERY, ()))
    parts += [f"{act} ({part})" for part, acts in rule.guards.items() if part != EVERY for act in acts]
    return ", ".join(parts)


def as_mapping(rule: Rule) -> dict[str, Any]:
    """A check as JSON."""
    rest = rests().get(rule.id, {})
    return {
        "id": rule.id,
        "pane": PANES[rule.id.partition("-")[0]],
        "title": rule.title,
        "rule": rule.rule,
        "severity": rule.severity,
        "source": rule.source,
        "why": rule.why,
        "measure": rule.measure,
        "causes": rule.causes,
        "do": rule.do,
        "guards": {part or "every": list(acts) for part, acts in rule.guards.items()},
        "needs": list(rest.get("needs", ())),
        "reads": list(rest.get("reads", ())),
    }
