"""A finding: one check's outcome for one subject."""

from __future__ import annotations

from typing import Literal, NamedTuple

from asleft.session.acts import Act, Enter, FindingName

Severity = Literal["hold", "correct", "advise"]
Verdict = Literal["pass", "conditional pass", "conditional fail", "fail", "not measured", "not applicable"]
RELEASES = frozenset({"pass", "conditional pass", "not applicable"})
FAILS = frozenset({"fail", "conditional fail"})
ACTS = (
    "live readings",
    "hands inside",
    "recording isolation",
    "power on",
    "loads on",
    "energising heat",
    "enabling heat",
    "signing as commissioned",
    "signing as not commissioned",
)


class Finding(NamedTuple):
    """Severity, verdict, figures in base units with U (k = 2), source, what it rests on and what to do.

    `needs` are the acts that it waits for or rests on (fields not entered or stale are why it is not
    measured); `rests_on` the events of those that were used. `guards` are acts that stay locked while
    severity is hold and the verdict does not release it.
    """

    id: str
    subject: str
    severity: Severity
    verdict: Verdict
    text: str
    source: str
    kind: str = ""
    value: float | None = None
    uncertainty: float | None = None
    lower: float | None = None
    upper: float | None = None
    margin: float | None = None
    probability: float | None = None
    working: str = ""
    do: str = ""
    needs: tuple[Act, ...] = ()
    rests_on: tuple[int, ...] = ()
    guards: tuple[str, ...] = ()
    waived: bool = False
    mendable: bool = True
    urgent: bool = False
    """Whether it endangers as it stands: power goes off before anything else."""
    follows: str = ""
    """The failed finding that it follows from, by its key; it gives no advice of its own."""

    @property
    def name(self) -> FindingName:
        """Its check and subject, as acts name it."""
        return FindingName(self.id, self.subject)

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields among what it needs, in order."""
        return tuple(act.field for act in self.needs if isinstance(act, Enter))

    @property
    def key(self) -> str:
        """`ID SUBJECT`, as waivers, notes and verdicts name it."""
        return f"{self.id} {self.subject}"

    @property
    def releases(self) -> bool:
        """Whether the verdict lets guarded acts go on."""
        return self.verdict in RELEASES

    @property
    def failed(self) -> bool:
        """Whether it was measured and is outside."""
        return self.verdict in FAILS

    @property
    def too_little(self) -> bool:
        """Whether it failed below its limit."""
        return self.failed and self.value is not None and self.lower is not None and self.value < self.lower

    @property
    def too_much(self) -> bool:
        """Whether it failed above its limit."""
        return self.failed and self.value is not None and self.upper is not None and self.value > self.upper

    @property
    def open(self) -> bool:
        """Whether it stands in the way of a commissioned record: a hold, or a correct nobody waived."""
        return not self.releases and (
            self.severity == "hold" or (self.severity == "correct" and not self.waived)
        )
