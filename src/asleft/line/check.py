"""`asleft check FILE`: every finding as today's rules give it, from the file alone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.line.check_page import as_text
from asleft.line.reading import Read, read_session
from asleft.line.text import dumped, say, say_all
from asleft.quantity import KINDS

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


def run(path: Path, *, as_json: bool, system: str = "ip") -> int:
    """Print the findings: 0 if nothing is open and the chain is whole, else 1. Raises what reading raises."""
    found = read_session(path, system)
    if as_json:
        say(dumped(as_mapping(found)))
    else:
        say_all(as_text(found, system))
    return code_of(found)


def code_of(found: Read) -> int:
    """0 if nothing is open and the chain is whole, else 1."""
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
