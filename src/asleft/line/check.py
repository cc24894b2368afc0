"""`asleft check FILE`: every finding as today's rules give it, from the file alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.journal import Seal, seals_of
from asleft.line.check_page import as_text
from asleft.line.reading import Read, read_session
from asleft.line.text import dumped, say, say_all
from asleft.quantity import KINDS

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


def run(path: Path, *, as_json: bool, system: str = "ip", signers: Path | None = None) -> int:
    """Print the findings and seals, and give the exit code. Raises what reading raises."""
    found = read_session(path, system)
    seals = seals_of(found.contents.events, signers)
    if as_json:
        told = as_mapping(found)
        # Only where they are asked for: the other keys are all that a script was ever promised.
        say(dumped(told if signers is None else {**told, "seals": [asdict(seal) for seal in seals]}))
    else:
        say_all(as_text(found, system, seals))
    return code_of(found, seals, asked=signers is not None)


def code_of(found: Read, seals: Sequence[Seal] = (), *, asked: bool = False) -> int:
    """0 if nothing is open, the chain is whole and no seal is false, else 1.

    3 where whose seals they are was `asked` and could not be looked at.
    """
    findings = found.view.findings if found.view else ()
    false = any(seal.false for seal in seals)
    if not found.whole or false or any(f.open for f in findings):
        return 1
    return 3 if asked and any(seal.result == "not checked" for seal in seals) else 0


def as_mapping(found: Read) -> dict[str, Any]:
    """The findings as JSON, values in base units."""
    signature = found.view.state.signature if found.view else None
    return {
        "chain": found.chain,
        "signed": signature is not None,
        "outcome": signature.outcome if signature else None,
        "findings": [_finding(f) for f in (found.view.findings if found.view else ())],
        "causes": [],
        **({"senseless": [one._asdict() for one in found.odd]} if found.odd else {}),
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
