"""What makes an entry stale: the events after which a field would read something else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile
from typing import TYPE_CHECKING

from asleft.session.acts import Enter
from asleft.session.fields import Field
from asleft.session.parts import CONTROL, default_parts, parts_of, reaches
from asleft.session.pauses import left_alone
from asleft.session.payloads import Mended, Powered, Resumed, Senseless
from asleft.session.state import State

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


@dataclass(frozen=True)
class Changes:
    """The events of a session that change what its fields would read.

    `fields`: those that apply. `mends`: the repairs, each with the number of its event.
    """

    equipment: Equipment
    state: State
    fields: Mapping[str, Field]
    mends: Sequence[tuple[int, Mended]]

    def of(self, field_id: str) -> tuple[int, ...]:
        """Numbers of the events that change what a field would read, ascending.

        They are mends, writes, power that puts a waiting write in force, what makes a word given lapse, and
        another instrument where the field describes one.
        """
        if field_id not in self._changes:
            field = self.fields.get(field_id)
            ns = list(self.mended(field_id))
            for role in field.changed_by if field else ():
                ns.extend(self._writes_by_role.get(role, ()))
            for state in field.lapses if field else ():
                ns.extend(self._taken_in.get(state, ()))
                ns.extend(e.n for e in self.state.entries.get(state, ()))
            if field is not None and field.passing:
                ns.extend(self._stayed)
            if field is not None and field.of_instrument:
                # An instrument in hand before the first entry is the one that the entry describes.
                first = min((e.n for e in self.state.entries.get(field_id, ())), default=0)
                ns.extend(u.n for u in self.state.used if u.role == field.of_instrument and u.n > first)
            self._changes[field_id] = tuple(sorted(ns))
        return self._changes[field_id]

    @cached_property
    def _changes(self) -> dict[str, tuple[int, ...]]:
        """What `of` has reckoned so far."""
        return {}

    @cached_property
    def _settings_by_role(self) -> dict[str, frozenset[str]]:
        by_role: dict[str, frozenset[str]] = {}
        for topic in self.equipment.topic:
            settings = frozenset(id for option in topic.option for id in option.set)
            by_role[topic.role] = by_role.get(topic.role, frozenset()) | settings
        return by_role

    @cached_property
    def _writes_by_role(self) -> dict[str, tuple[int, ...]]:
        """Numbers of the events that gave a setting of a role a value, or put one in force."""
        by_setting = self._writes
        return {
            role: tuple(n for setting in settings for n in by_setting.get(setting, ()))
            for role, settings in self._settings_by_role.items()
        }

    @cached_property
    def _writes(self) -> dict[str, tuple[int, ...]]:
        writes: dict[str, list[int]] = {}
        for act in self.state.acts:
            if act.kind == "wrote":
                found = self.equipment.setting_of(act.setting)
                cycled = self.cycled(act.n) if found and found.waits else None
                writes.setdefault(act.setting, []).extend([act.n] if cycled is None else [act.n, cycled])
        return {setting: tuple(ns) for setting, ns in writes.items()}

    @cached_property
    def _mends(self) -> dict[str, tuple[int, ...]]:
        mends: dict[str, list[int]] = {}
        for n, mend in self.mends:
            for field in self._reach(mend):
                mends.setdefault(field, []).append(n)
        return {field: tuple(ns) for field, ns in mends.items()}

    def _reach(self, mend: Mended) -> Iterator[str]:
        """The fields that a repair can have changed: what its finding rests on, and the reach of its part.

        Where nobody named a part, it is of every one that the finding can mean.
        """
        own = {act.field for act in mend.affects if isinstance(act, Enter)}
        yield from own
        parts = self._parts(mend)
        yield from (id for id in self.fields if id not in own and any(reaches(part, id) for part in parts))

    def _parts(self, mend: Mended) -> tuple[str, ...]:
        return (mend.part,) if mend.part else default_parts(mend.finding, parts_of(self.fields))

    @property
    def control_mended(self) -> int:
        """The newest event in which the control was mended, and nothing else can have been; 0 without one."""
        return max((n for n, mend in self.mends if self._parts(mend) == (CONTROL,)), default=0)

    def mended(self, field_id: str) -> tuple[int, ...]:
        """Numbers of the notes of mending that change what a field would read."""
        return self._mends.get(field_id, ())

    def cycled(self, n: int) -> int | None:
        """The event by which power was off and on again after an event; None where it was not."""
        off = next((p.n for p in self.state.powered if p.state == "off" and p.n > n), None)
        on = (p.n for p in self.state.powered if p.state == "on" and off is not None and p.n > off)
        return next(on, None)

    @cached_property
    def _stayed(self) -> tuple[int, ...]:
        """Numbers of the events that end what counts only while power stays off and somebody stays.

        Power on ends it whatever is said of it later, and so does leaving; it begins with power off.
        """
        switched = reversed(self.state.powered)
        ns = [power.n for power in takewhile(lambda power: power.state == "off", switched)][-1:]
        for before, event in self.state.doings:
            match event.what:
                case Senseless() | Powered("on"):
                    ns.append(event.n)
                case Resumed() as resumed if before is not None and left_alone(before, event, resumed):
                    ns.append(event.n)
                case _:
                    pass
        return tuple(ns)

    @cached_property
    def _taken_in(self) -> dict[str, tuple[int, ...]]:
        """Numbers of the entries by the state they were taken in, without its stage."""
        taken: dict[str, list[int]] = {}
        for id, entries in self.state.entries.items():
            if (field := self.fields.get(id)) is not None and field.state:
                taken.setdefault(field.state.partition(".")[0], []).extend(e.n for e in entries)
        return {state: tuple(ns) for state, ns in taken.items()}
