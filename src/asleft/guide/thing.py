"""The one thing to do, and a piece of open work that may become it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.checks.finding import Finding


@dataclass(frozen=True, slots=True)
class Next:
    """The one thing to do now. `enter` is the left side of the act; `why` is a plain sentence.

    `keyed` are the parts of a code that is written, in turn, each with the address at which it is keyed.
    """

    do: str
    text: str
    why: str = ""
    pane: str = ""
    enter: str = ""
    field: str = ""
    setting: str = ""
    address: str = ""
    topic: str = ""
    options: tuple[str, ...] = ()
    value: str = ""
    state: str = ""
    code: str = ""
    keyed: tuple[tuple[str, str], ...] = ()
    outcome: str = ""
    finding: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """Something open: what it is, the power it needs, and the acts that may be locked."""

    next: Next
    power: str = ""
    acts: tuple[str, ...] = ()


def open_holds(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The holds that lock whatever they guard."""
    return tuple(f for f in findings if f.severity == "hold" and not f.releases)


def holds_on(findings: tuple[Finding, ...], acts: tuple[str, ...]) -> tuple[Finding, ...]:
    """The open holds that guard any of these acts."""
    if not acts:
        return ()
    return tuple(f for f in open_holds(findings) if not set(acts).isdisjoint(f.guards))


def acknowledgeable(finding: Finding) -> bool:
    """Whether an acknowledgement lifts it."""
    return any(field.startswith("acknowledge:") for field in finding.fields)
