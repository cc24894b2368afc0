"""`asleft check FILE`: every finding as today's rules give it, from the file alone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.line.reading import Read, read_session
from asleft.line.text import dumped, plain, say, say_all, wrapped
from asleft.quantity import KINDS, show

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

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

_WORST = ("fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable")
_GRAVEST = ("hold", "correct", "advise")


def run(path: Path, *, as_json: bool, system: str = "ip") -> int:
    """Print the findings: 0 if nothing is open and the chain is whole, else 1. Raises what reading raises."""
    found = read_session(path, system)
    if as_json:
        say(dumped(as_mapping(found)))
    else:
        say_all(as_text(found, system))
    findings = found.view.findings if found.view else ()
    return 1 if not found.whole or any(f.open for f in findings) else 0


def as_mapping(found: Read) -> dict[str, Any]:
    """The findings as JSON, values in base units."""
    signature = found.view.state.signature if found.view else None
    return {
        "chain": found.chain,
        "signed": signature is not None,
        "outcome": signature.outcome if signature else None,
        "findings": [_finding(f) for f in (found.view.findings if found.view else ())],
        "causes": [],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "id": finding.id,
        "subject": finding.subject,
        "severity": finding.severity,
        "verdict": finding.verdict,
        "value": finding.value,
        "unit": _base_unit(finding.kind) if finding.value is not None else None,
        "uncertainty": finding.uncertainty,
        "limit": {"lower": finding.lower, "upper": finding.upper},
        "margin": finding.margin,
        "probability": finding.probability,
        "waived": finding.waived,
        "text": finding.text,
    }


def _base_unit(kind: str) -> str | None:
    return KINDS[kind].base_unit or None if kind in KINDS else None


def as_text(found: Read, system: str = "ip") -> list[str]:
    """A page by pane, worst first, with value, limit, margin and probability."""
    lines = [f"{plain(found.path.name)}: chain {found.chain}, {len(found.contents.events)} events."]
    if found.contents.trouble:
        lines.append(wrapped(found.contents.trouble))
    if found.view is None:
        return [*lines, "Nothing in it can be judged."]
    signature = found.view.state.signature
    lines.append(f"Signed {signature.outcome} by {plain(signature.by)}." if signature else "Not signed.")
    findings = found.view.findings
    still = [f for f in findings if f.open]
    lines.append(f"{len(findings)} findings, {len(still)} of them open." if still else "Nothing is open.")
    for prefix, title in PANES.items():
        mine = [f for f in findings if f.id.partition("-")[0] == prefix]
        if mine:
            lines += ["", title]
            for finding in sorted(mine, key=_rank):
                lines.extend(_lines(finding, system))
    return lines


def _rank(finding: Finding) -> tuple[bool, int, int]:
    return (not finding.open, _WORST.index(finding.verdict), _GRAVEST.index(finding.severity))


def _lines(finding: Finding, system: str) -> list[str]:
    verdict = finding.verdict + (", waived" if finding.waived else "")
    head = f"  {verdict:17} {finding.severity:7} {plain(finding.key)}"
    figures = _figures(finding, system)
    lines = [head + (f"  {figures}" if figures else "")]
    if finding.text:
        lines.append(wrapped(finding.text, " " * 6))
    if finding.open and finding.do and finding.do != finding.text:
        lines.append(wrapped(f"Do: {finding.do}", " " * 6))
    return lines


def _figures(finding: Finding, system: str) -> str:
    if finding.value is None:
        return ""
    kind = finding.kind
    parts = [shown(finding.value, kind, system)]
    if finding.uncertainty:
        parts[0] += f" ± {shown(finding.uncertainty, _difference(kind), system)} (U, k = 2)"
    if finding.lower is not None and finding.upper is not None:
        parts.append(f"limits {shown(finding.lower, kind, system)} to {shown(finding.upper, kind, system)}")
    elif finding.lower is not None:
        parts.append(f"at least {shown(finding.lower, kind, system)}")
    elif finding.upper is not None:
        parts.append(f"at most {shown(finding.upper, kind, system)}")
    if finding.margin is not None:
        parts.append(f"margin {shown(finding.margin, _difference(kind), system)}")
    if finding.probability is not None and finding.verdict.startswith("conditional"):
        parts.append(f"probability {finding.probability:.2f}")
    return ", ".join(parts)


def _difference(kind: str) -> str:
    return "temperature_difference" if kind == "temperature" else kind


def shown(value: float, kind: str, system: str) -> str:
    """A finding's figure for a person; a plain number where its kind has no unit."""
    return show(value, kind, system) if kind in KINDS else f"{value:.4g}"
