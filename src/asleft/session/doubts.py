"""What a write leaves unsure: settings that must follow the one written, and those that it resets."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Setting
    from asleft.session.state import SettingAct

Where = tuple[str, str]
"""A setting at an address, both by id."""


class Disturbed(NamedTuple):
    """The newest write that may have moved a setting. `n` is when it did so: as written, or once in force."""

    n: int
    by: SettingAct


class NoValue(NamedTuple):
    """A text that the control showed in place of a value, what it means, and what to do where it is said."""

    shown: str
    means: str
    do: str

    def __str__(self) -> str:
        return f"“{self.shown}”: {self.means.rstrip('.')}"


def no_value(equipment: Equipment, setting_id: str, shown: str) -> NoValue | None:
    """What is shown, where that is no value of the setting; None where it is one."""
    setting = equipment.setting_of(setting_id)
    if setting is None or equipment.value_of(setting_id, shown) in setting.values:
        return None
    known = equipment.error_of(shown)
    if known is None:
        return NoValue(shown, "not a value of this setting", "")
    return NoValue(shown, known.means, known.do or "")


@dataclass(frozen=True)
class Doubts:
    """The acts on settings of one session, read for what each write may have done to other settings.

    `acts` are oldest first, by value; `cycled` tells when power was off and on after an event; `lost` is the
    newest event that took every setting out of sight.
    """

    equipment: Equipment
    acts: Sequence[SettingAct]
    cycled: Callable[[int], int | None]
    lost: int = 0

    @cached_property
    def leaders(self) -> Mapping[Where, frozenset[Where]]:
        """By place, every place a write of which may move it: order and resets hand on what they do."""
        before = {
            (setting.id, address): frozenset(
                (earlier.id, at) for earlier, at in self.equipment.before(setting, address)
            )
            for setting, address in self.equipment.places()
        }
        found: dict[Where, frozenset[Where]] = {}
        for place, direct in before.items():
            reached, fresh = direct, direct
            while fresh:
                fresh = frozenset(e for leader in fresh for e in before.get(leader, ())) - reached
                reached |= fresh
            if reached:
                found[place] = reached - {place}
        return found

    @cached_property
    def disturbed(self) -> Mapping[Where, Disturbed]:
        """By place, the newest event that may have moved it without being about it.

        What is set with power off and was not written in this visit is moved by nothing keyed elsewhere,
        unless the equipment file says that a write resets it.
        """
        wrote = [act for act in self.acts if act.kind == "wrote"]
        if not wrote:
            return {}
        written = {(act.setting, act.address) for act in wrote}
        found: dict[Where, Disturbed] = {}
        for place, leaders in self.leaders.items():
            setting = self.equipment.setting_of(place[0])
            if setting is not None and setting.power == "off" and place not in written:
                leaders &= self._resetting(setting, place[1])
            moved = [
                Disturbed(self._in_force(act, setting is not None and setting.power == "on"), act)
                for act in wrote
                if (act.setting, act.address) in leaders
            ]
            if moved:
                found[place] = max(moved, key=lambda m: (m.n, m.by.n))
        return found

    def _resetting(self, setting: Setting, address: str) -> frozenset[Where]:
        """The places a write of which resets a setting."""
        return frozenset(
            (other.id, at)
            for other, at in self.equipment.places()
            if (setting, address) in self.equipment.reset_by(other, at)
        )

    def _in_force(self, act: SettingAct, stored: bool) -> int:
        """When a write acts on what else the control stores; what is set by hand moves at once or never."""
        setting = self.equipment.setting_of(act.setting)
        cycled = self.cycled(act.n) if stored and setting is not None and setting.waits else None
        return act.n if cycled is None else cycled

    @cached_property
    def put_back(self) -> Mapping[Where, tuple[SettingAct, str]]:
        """By place not looked at since, the write that reset it, and the factory value it was put back to."""
        found: dict[Where, tuple[SettingAct, str]] = {}
        for act in self.acts:
            found.pop((act.setting, act.address), None)
            setting = self.equipment.setting_of(act.setting) if act.kind == "wrote" else None
            for other, address in self.equipment.reset_by(setting, act.address) if setting else ():
                if other.factory is not None:
                    found[other.id, address] = (act, other.factory)
        return found

    def cleared(self, where: Where, held: SettingAct) -> bool:
        """Whether a place that held a value was moved off it by a write of a leader, and not by its own.

        A repair of the control moves it as well, or a write that a damaged record lost.
        """
        leaders, suspect = self.leaders.get(where, frozenset()), False
        seen = held.n
        setting = self.equipment.setting_of(where[0])
        for act in self.acts:
            at = (act.setting, act.address)
            if act.n <= held.n:
                continue
            if at == where and act.kind == "wrote":
                return False
            if at == where:
                suspect, seen = suspect or seen < self.lost < act.n, act.n
                if act.shown != held.shown:
                    return suspect and setting is not None and act.shown in setting.values
                suspect = False
            elif act.kind == "wrote" and at in leaders:
                suspect = True
                leader = self.equipment.setting_of(act.setting)
                resets = self.equipment.reset_by(leader, act.address) if leader else ()
                if any((o.id, a) == where and o.factory not in (None, held.shown) for o, a in resets):
                    return True
        return False
