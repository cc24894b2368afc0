"""The trainer's key to a drill: the faults, what shows them, the right choices and the shortest way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.debrief import Seen, first_seen, named
from asleft.drill.classroom.known import known_faults

if TYPE_CHECKING:
    from asleft.drill.classroom.reference import Reference
    from asleft.drill.classroom.sheet import Staged
    from asleft.installation.faults import Fault
    from asleft.session.state import Event


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
            if event.kind != "signed":
                way.append((event.n, _act(event)))
            for fault in reports.get(event.n, ()):
                place = f"@{fault.where}" if fault.where else ""
                at = event.n if event.kind != "signed" else event.n - 1
                way.append((at, f"report={fault.kind}{place} by {at}"))
            if event.kind == "signed":
                way.append((event.n, _act(event)))
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


def _act(event: Event) -> str:
    data = event.data
    match event.kind:
        case "entered":
            return f"{data['field']}={data['typed']}"
        case "used":
            return f"{data['field']}={data['instrument']}"
        case "chose":
            return f"choose:{data['topic']}={data['option']}"
        case "found" | "wrote" | "read_back":
            return f"{event.kind}:{data['setting']}@{data['address']}={data['shown']}"
        case "powered":
            return f"power={data['state']}"
        case "acknowledged":
            return f"acknowledge:{data['id']}=yes"
        case "signed":
            return f"sign={data['outcome']}"
        case "noted" if "refused" in data:
            return f"cannot:{data['refused'].replace(' ', '/', 1)}={data['text']}"
        case "noted" if "mends" in data:
            return f"mended:{data['mends'].replace(' ', '/', 1)}={data['text']}"
        case _:
            return f"{event.kind} {data.get('text', '')}".strip()
