"""The trainer's key to a drill: the faults, what shows them, the right choices and the shortest way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, assert_never

from asleft.drill.classroom.debrief import Seen, first_seen, named
from asleft.drill.classroom.known import known_faults
from asleft.session.acts import (
    Acknowledge,
    Cannot,
    Choose,
    Enter,
    FindingName,
    Look,
    Mend,
    ReadBack,
    Report,
    Sign,
    SwitchPower,
    Write,
)
from asleft.session.payloads import (
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)

if TYPE_CHECKING:
    from asleft.drill.classroom.reference import Reference
    from asleft.drill.classroom.sheet import Staged
    from asleft.installation.faults import Fault
    from asleft.session.payloads import Payload


@dataclass(frozen=True)
class Key:
    """A drill's key. `evidence` says for each fault what first shows it on the way that `next` leads."""

    staged: Staged
    by: Reference

    @property
    def evidence(self) -> tuple[tuple[Fault, Seen | None], ...]:
        """Every fault with what shows it."""
        by = self.by
        return tuple(
            (fault, first_seen(known_faults()[fault.kind], by.history, by.view.ledger))
            for fault in self.staged.faults
        )

    def way(self) -> list[tuple[int, str]]:
        """The acts of the shortest way, each with its number, reports put in where their proof is there."""
        reports: dict[int, list[Fault]] = {}
        last = self.by.events
        for fault, seen in self.evidence:
            reports.setdefault(seen.n if seen else last, []).append(fault)
        way: list[tuple[int, str]] = []
        for event in self.by.history:
            signed = isinstance(event.what, Signed)
            if not signed:
                way.append((event.n, _done(event.what)))
            for fault in reports.get(event.n, ()):
                place = f"@{fault.where}" if fault.where else ""
                at = event.n - 1 if signed else event.n
                way.append((at, f"{Report()}={fault.kind}{place} by {at}"))
            if signed:
                way.append((event.n, _done(event.what)))
        return way

    def lines(self) -> Iterator[str]:
        """The key as plain lines."""
        sheet, by = self.staged.sheet, self.by
        yield f"{sheet.title}: level {sheet.level}, {sheet.unit}, seed {sheet.seed}"
        yield ""
        yield "Faults" if self.staged.faults else "No fault: a healthy unit."
        for fault, seen in self.evidence:
            known = known_faults()[fault.kind]
            yield f"  {named(fault)}: {fault.kind}{f'@{fault.where}' if fault.where else ''}"
            yield f"    {known.tells}"
            yield f"    {known.parts}"
            where = f"event {seen.n}, {seen.what}" if seen else "nothing that next alone leads to"
            yield f"    Evidence: {where}."
        yield ""
        yield "Right choices"
        for topic, option in by.choices.items():
            yield f"  {topic} = {option}"
        yield f"  signed as {by.outcome or 'nothing: ' + by.stuck}"
        yield ""
        yield f"The shortest way: {by.events} entries with what is next, and the reports"
        for n, text in self.way():
            yield f"  {n:4} {text}"

    def as_mapping(self) -> Mapping[str, Any]:
        """The key for a script."""
        return {
            "title": self.staged.sheet.title,
            "faults": [
                {
                    "kind": fault.kind,
                    "size": fault.size,
                    "where": fault.where,
                    "evidence": {"n": seen.n, "what": seen.what} if seen else None,
                }
                for fault, seen in self.evidence
            ],
            "choices": self.by.choices,
            "outcome": self.by.outcome or None,
            "way": [text for _, text in self.way()],
        }


def _done(what: Payload) -> str:
    """What happened as it would be entered: the act and what is typed; what nobody enters, by its name."""
    match what:
        case Entered():
            return f"{Enter(what.field)}={what.typed}"
        case Used():
            return f"{Enter(what.field)}={what.instrument}"
        case Chose():
            return f"{Choose(what.topic)}={what.option}"
        case FoundSetting():
            return f"{Look(what.setting, what.address)}={what.shown}"
        case WroteSetting():
            return f"{Write(what.setting, what.address)}={what.shown}"
        case ReadSettingBack():
            return f"{ReadBack(what.setting, what.address)}={what.shown}"
        case Powered():
            return f"{SwitchPower()}={what.state}"
        case Acknowledged():
            return f"{Acknowledge(what.id)}=yes"
        case Signed():
            return f"{Sign()}={what.outcome}"
        case CouldNot():
            act = Mend(what.what) if isinstance(what.what, FindingName) else what.what
            return f"{Cannot(act)}={what.text}"
        case Mended():
            return f"{Mend(what.finding)}={what.said}"
        case Noted() | Broke() | Reported() | Hinted():
            return f"{what.kind} {what.text}"
        case (
            Waived() | Retracted() | Resumed() | Sealed() | Reviewed() | Drilled() | Revealed() | Senseless()
        ):
            return what.kind
        case _:
            assert_never(what)
