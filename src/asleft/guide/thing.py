"""The one thing to do, and a piece of open work that may become it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from asleft.session.acts import Acknowledge, Choose, Enter, Look, ReadBack, Write

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.acts import Act

Do = Literal[
    "enter",
    "choose",
    "acknowledge",
    "look",
    "write",
    "read_back",
    "power",
    "measure_again",
    "mend",
    "sign",
    "nothing",
]


@dataclass(frozen=True, slots=True)
class Next:
    """The one thing to do now, and the act that says it is done; `why` is a plain sentence.

    `keyed` are the parts of a code that is written, in turn, each with the address at which it is keyed.
    """

    do: Do
    text: str
    why: str = ""
    pane: str = ""
    act: Act | None = None
    options: tuple[str, ...] = ()
    value: str = ""
    state: str = ""
    code: str = ""
    keyed: tuple[tuple[str, str], ...] = ()
    outcome: str = ""
    finding: str = ""

    @property
    def enter(self) -> str:
        """The left side of the act; empty where there is none."""
        return "" if self.act is None else str(self.act)

    @property
    def field(self) -> str:
        """The field that it is about."""
        return self.act.field if isinstance(self.act, Enter) else ""

    @property
    def topic(self) -> str:
        """The topic that it is about."""
        return self.act.topic if isinstance(self.act, Choose) else ""

    @property
    def setting(self) -> str:
        """The setting that it is about."""
        return self.act.setting if isinstance(self.act, Look | Write | ReadBack) else ""

    @property
    def address(self) -> str:
        """The address that it is about."""
        return self.act.address if isinstance(self.act, Look | Write | ReadBack) else ""


@dataclass(frozen=True, slots=True)
class Work:
    """Something open: what it is, the power it needs, and the acts that may be locked.

    `first`: nothing that stands after it is done before it, whatever power it needs.
    """

    next: Next
    power: str = ""
    acts: tuple[str, ...] = ()
    first: bool = False


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
    return any(isinstance(act, Acknowledge) for act in finding.needs)
