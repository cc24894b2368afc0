"""What a control keeps: values stored, values that wait for a power cycle, and what a write really does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation, Place


@dataclass(frozen=True, slots=True)
class Memory:
    """A control's settings; `waiting` are old values that stay in force until power is cycled."""

    stored: Mapping[Place, str]
    waiting: Mapping[Place, str] = field(default_factory=dict)

    @property
    def in_force(self) -> Mapping[Place, str]:
        """What the unit goes by."""
        return {**self.stored, **self.waiting}


def as_found(installation: Installation, settings: Mapping[Place, str]) -> Memory:
    """The control of a unit that was set so, and what somebody did to it since."""
    return Memory({**settings, **installation.control.found})


def store(
    installation: Installation,
    equipment: Equipment,
    memory: Memory,
    setting: str,
    address: str,
    value: str,
) -> Memory:
    """What the control holds after a value was entered for a setting at an address.

    What that setting resets goes back to its factory value; where the file does not name that, to the first
    of its values.
    """
    control = installation.control
    if control.deaf.get((setting, address)):
        return memory
    place = (setting, control.lands.get((setting, address), address))
    known = equipment.setting_of(setting)
    slow = (known is not None and known.waits) or bool(control.lags.get(setting))
    reset = {
        (other.id, at): other.factory or other.values[0]
        for other, at in (equipment.reset_by(known, place[1]) if known else ())
    }
    for changed, left in {place: value, **reset}.items():
        own = equipment.setting_of(changed[0])
        if (slow or (own is not None and own.waits)) and left != memory.stored[changed]:
            memory = replace(memory, waiting=_waiting(equipment, memory, changed[0]))
    return replace(memory, stored={**memory.stored, place: value, **reset})


def cycled(memory: Memory) -> Memory:
    """After power was off and on, what is stored is in force."""
    return replace(memory, waiting={})


def _waiting(equipment: Equipment, memory: Memory, written: str) -> Mapping[Place, str]:
    """Whatever carries the same topics as a setting written stays in force, so that no half of it acts."""
    carried = [{id for o in t.option for id in o.set} for t in equipment.topic]
    held = {written}.union(*(ids for ids in carried if written in ids))
    places = ((setting.id, address) for setting, address in equipment.places() if setting.id in held)
    return {**{place: memory.stored[place] for place in places}, **memory.waiting}
