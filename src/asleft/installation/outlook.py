"""What is said of an installed unit: figures, judgements, and the outlook of every option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from asleft.calc import conformity


@dataclass(frozen=True, slots=True)
class Figure:
    """One predicted quantity in the base unit of its kind, with expanded uncertainty (k = 2)."""

    kind: str
    value: float
    expanded: float = 0.0


@dataclass(frozen=True, slots=True)
class Judged:
    """A predicted figure held against the limits of one check."""

    check: str
    figure: Figure
    lower: float | None
    upper: float | None
    verdict: str
    probability: float
    margin: float

    @classmethod
    def of(cls, check: str, figure: Figure, lower: float | None, upper: float | None) -> Judged:
        """Hold a figure against a limit or two, in its base unit (guard band w = U, ILAC-G8).

        Raises CalcError without a limit, or where the limits are crossed.
        """
        found = conformity(figure.value, figure.expanded, lower, upper)
        return cls(check, figure, lower, upper, found.verdict, found.probability, found.margin)

    @property
    def passes(self) -> bool:
        """A conditional pass counts."""
        return self.verdict in ("pass", "conditional pass")


@dataclass(frozen=True, slots=True)
class Outlook:
    """What one option would do at this unit."""

    topic: str
    option: str
    label: str
    figures: Mapping[str, Figure] = field(default_factory=dict)
    judged: tuple[Judged, ...] = ()
    recommended: bool = False

    def judgement(self, check: str) -> Judged | None:
        """The judgement of one check."""
        return next((j for j in self.judged if j.check == check), None)

    def keeps(self, *checks: str) -> bool:
        """Whether each of these checks that judges it lets it pass."""
        return all(j.passes for j in self.judged if j.check in checks)


@dataclass(frozen=True, slots=True)
class TopicOutlook:
    """All options of a topic side by side, the recommended one and why, or what is missing to say."""

    topic: str
    role: str
    outlooks: tuple[Outlook, ...]
    recommended: str | None
    why: str
    missing: tuple[str, ...] = ()

    def of(self, option: str | None) -> Outlook | None:
        """One option's outlook."""
        return next((o for o in self.outlooks if o.option == option), None)


@dataclass(frozen=True, slots=True)
class Forecast:
    """Every topic's outlook, in file order."""

    topics: Mapping[str, TopicOutlook] = field(default_factory=dict)

    def role(self, role: str) -> TopicOutlook | None:
        """The outlook of the first topic that plays a role."""
        return next((t for t in self.topics.values() if t.role == role), None)
