"""What was reported in a drill, held against what was hidden."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.drill.classroom.known import known_faults
from asleft.session.payloads import Reported

if TYPE_CHECKING:
    from asleft.installation.faults import Fault
    from asleft.session.state import State


@dataclass(frozen=True, slots=True)
class Report:
    """A fault as reported: in which event, of which kind, where, and by which entries."""

    n: int
    kind: str
    where: str
    evidence: tuple[int, ...]


def reports_of(state: State) -> Iterator[Report]:
    """What was reported, and not taken back."""
    return (Report(n, told.fault, told.place, told.evidence) for n, told in state.noted(Reported))


@dataclass(frozen=True, slots=True)
class Match:
    """A hidden fault and the report of it, if there is one; `alike` where that names what looks the same."""

    fault: Fault
    report: Report | None
    alike: bool = False

    @property
    def placed(self) -> bool:
        """Whether the place was said right, or there was none to say."""
        return self.report is not None and (not self.fault.where or self.report.where == self.fault.where)


@dataclass(frozen=True, slots=True)
class Matched:
    """Every hidden fault with its report, and the reports of what was not there."""

    faults: tuple[Match, ...]
    false: tuple[Report, ...]


def matched(faults: Sequence[Fault], reports: Sequence[Report]) -> Matched:
    """Each fault with the first report that fits it best: kind and place, kind, then what looks the same.

    One report is of one fault; what is said twice of a fault that was found is not false.
    """
    left = list(reports)
    found: dict[int, Match] = {}
    fits = (
        lambda f, r: r.kind == f.kind and r.where == f.where,
        lambda f, r: r.kind == f.kind,
        lambda f, r: r.kind in known_faults()[f.kind].alike,
    )
    for alike, fit in ((False, fits[0]), (False, fits[1]), (True, fits[2])):
        for at, fault in enumerate(faults):
            report = next((r for r in left if at not in found and fit(fault, r)), None)
            if report is not None:
                left.remove(report)
                found[at] = Match(fault, report, alike)
    matches = tuple(found.get(at, Match(fault, None)) for at, fault in enumerate(faults))
    said = {(m.report.kind) for m in matches if m.report}
    return Matched(matches, tuple(r for r in left if r.kind not in said))
