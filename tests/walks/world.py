"""A unit, a record and a person in one process: nothing on disk but where a file is damaged."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from random import Random
from typing import TYPE_CHECKING, Any, cast

from asleft.drill.answers import RigError
from asleft.drill.classroom.known import known_faults
from asleft.drill.rig import BuiltIn
from asleft.drill.site import Site
from asleft.drill.technician import Stuck, act
from asleft.drill.virtual import Reply, VirtualUnit
from asleft.equipment.library import find, instruments
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile
from asleft.installation.behave import behave
from asleft.installation.faults import FAULTS, Fault, with_faults
from asleft.installation.memory import Memory
from asleft.session.acts import parse
from asleft.visit import Refused, Visit
from faults.walks import afflicting
from played import found_once
from shared import kept_once
from walks.paper import Event, Place, Unit
from walks.paper import field as field_told

if TYPE_CHECKING:
    from asleft.journal import Journal

Read = dict[int, tuple[str, Memory, tuple[Fault, ...]]]
"""By event the field that was read, what the control held then, and what was wrong then."""


class Memories:
    """Events kept in memory in place of a file."""

    def __init__(self, events: Sequence[Mapping[str, Any]] = ()) -> None:
        self.events = list(events)
        self.link = "0" * 64
        self.header = {"session": {"id": "walk", "mode": "job"}}

    @property
    def contents(self) -> Memories:
        """What was read."""
        return self

    def append(self, blocks: Sequence[Mapping[str, Any]]) -> None:
        """One entry."""
        self.events.extend(blocks)


class Clock:
    """A clock that a walk can push."""

    def __init__(self, at: datetime) -> None:
        self.at, self.step = at, timedelta(seconds=45)

    def __call__(self) -> str:
        """The time of the next event."""
        now = self.at
        self.at += self.step
        return f"{now:%Y-%m-%dT%H:%M:%SZ}"


class Unlucky(VirtualUnit):
    """A virtual unit whose true state a walk can see, whose faults can be mended, and that may not answer."""

    def __init__(self, equipment: EquipmentFile, place: Site, seed: int, faults: Sequence[Fault]) -> None:
        self.healthy, self.faults = place, tuple(faults)
        wrong = with_faults(place.installation, equipment.equipment, self.faults)
        super().__init__(equipment.equipment, replace(place, installation=wrong), seed)
        self.unit = paper(equipment.text)
        self._told: dict[Any, dict[str, Any]] = {}
        self.follows = True
        """Whether a write puts what must follow it back to what the factory set."""
        self.trouble: Callable[[Mapping[str, Any]], Reply | None] = lambda request: None

    def _stand(self) -> None:
        self._site = replace(
            self.healthy, installation=with_faults(self.healthy.installation, self._equipment, self.faults)
        )

    def answer(self, request: Mapping[str, Any]) -> Reply:
        """The answer to one request, or what goes wrong. Raises RigError."""
        return self.trouble(request) or super().answer(request)

    @property
    def power(self) -> str:
        """As it is."""
        return self._power

    @property
    def memory(self) -> Memory:
        """What the control holds."""
        return self._memory

    @property
    def stored(self) -> Mapping[Place, str]:
        """What is stored, by setting and address."""
        return self._memory.stored

    def reads(self, id: str, memory: Memory, faults: tuple[Fault, ...]) -> Any:
        """What a field truly reads with these settings and these faults."""
        told = field_told(id)
        if not told.get("state"):
            return None
        site = self._site.installation
        if faults != self.faults:
            site = with_faults(self.healthy.installation, self._equipment, faults)
        key = (told["state"], tuple(sorted(memory.in_force.items())), faults)
        if key not in self._told:
            self._told[key] = behave(site, self._equipment, memory.in_force, told["state"])
        return self._told[key].get(id)

    def kept(self) -> tuple[Any, ...]:
        """All that an act changes, to be put back where the act was refused."""
        return self._memory, self._power, self.faults, dict(self._reads)

    def put_back(self, kept: tuple[Any, ...]) -> None:
        """As it was."""
        self._memory, self._power, self.faults, self._reads = kept
        self._stand()

    def _store(self, setting: Any, address: str, value: str) -> Reply:
        before = self._memory.stored.get((setting.id, address))
        reply = super()._store(setting, address, value)
        if self.follows and "shown" in reply and self._memory.stored[setting.id, address] != before:
            stored = dict(self._memory.stored)
            for id, at in self.unit.followers(setting.id, address):
                stored[id, at] = self.unit.settings[id].get("factory", stored[id, at])
            self._memory = replace(self._memory, stored=stored)
        return reply

    def _mend(self, request: Mapping[str, Any]) -> Reply:
        check = str(request.get("finding"))
        healed = [f for f in self.faults if check in known_faults()[f.kind].findings]
        if not healed:
            return {"refused": "nothing here needs mending"}
        self.faults = tuple(f for f in self.faults if f not in healed[:1])
        self._stand()
        return {"done": True} | self._part_of(healed[0])

    def _part_of(self, fault: Fault) -> Reply:
        """The part that was mended, as who mended it says; nothing where it was more than one."""
        kind = FAULTS[fault.kind]
        part = kind.part_at(fault.where or kind.places(self.healthy.installation, self._equipment)[0])
        return {} if "*" in part else {"part": part}


@lru_cache(maxsize=16)
def paper(text: str) -> Unit:
    """An equipment file as a table."""
    return Unit(text)


_OTHER_SUPPLY = """[[supply]]
id = "230-3"
nominal = "230 V"
phases = 3
frequency = 60
lowest = "207 V"
highest = "253 V"

"""
CHANGED: Mapping[str, tuple[tuple[str, str], ...]] = {
    "brinmere-staithe-60 three-phase blower": (
        (r"(\[blower\]\n.*\n)phases = 1", r"\1phases = 3"),
        (r'(?m)^maximum = "[0-9]+ A"$', 'maximum = "80 A"'),
        (r"(?m)^(supplies = .*)$", r'\1\norientations = ["upflow"]'),
    ),
    "brinmere-staithe-60 a figure left out": (
        (r'(?m)^horizontal = "[0-9]+ cfm"$', ""),
        (r"(?m)^\[control_circuit\]$", _OTHER_SUPPLY + "[control_circuit]"),
    ),
}
"""Units of the library changed so that they have what none has: a motor that minds unbalance, kits that bear
devices above 60 A and go one way alone, a least airflow that the maker does not give for every way round, a
supply for which no kit is listed.
"""


def equipment_of(name: str) -> EquipmentFile:
    """A unit of the library, or one of them changed."""
    if name not in CHANGED:
        return find(name)
    text = find(name.partition(" ")[0]).text
    for pattern, put in CHANGED[name]:
        text, times = re.subn(pattern, put, text)
        assert times, pattern
    return load_bytes(text.encode(), name)


@dataclass(frozen=True)
class Begun:
    """A visit played to its end: its events, and the unit's true state after each."""

    equipment: EquipmentFile
    place: Site
    seed: int
    faults: tuple[Fault, ...]
    events: tuple[Mapping[str, Any], ...] = ()
    states: tuple[tuple[Any, ...], ...] = ()
    read: Read = field(default_factory=dict)

    def unit(self) -> Unlucky:
        """The unit as nobody has touched it yet."""
        return Unlucky(self.equipment, self.place, self.seed, self.faults)


@lru_cache(maxsize=4)
def begun(name: str, seed: int, faulty: bool) -> Begun:
    """A visit worked as far as `next` leads, to its signature; the unit as it should be, or not."""
    equipment = equipment_of(name)
    place = found_once(seed, equipment.equipment)
    faults = afflicting(Random(f"faults {name} {seed}"), place, equipment.equipment) if faulty else ()
    fresh = Begun(equipment, place, seed, faults)
    return kept_once(f"begun {name} {seed} {faulty}", lambda: _played(fresh))


def visit_of(begun: Begun, events: Sequence[Event], by: str, clock: Clock, zone: str = "") -> Visit:
    """The visit as it stands after these events, opened anew."""
    held = {i.id: i for i in instruments()}
    journal = cast("Journal", Memories(events))
    visit = Visit(journal, begun.equipment, held, by=by, clock=clock, zone=zone)
    visit.signer = lambda link, key: ["a signature"]
    return visit


MOST_PLAYED = 900


def _played(fresh: Begun) -> Begun:
    clock = Clock(datetime(2031, 3, 4, 7, 30, tzinfo=UTC))
    clock.step = timedelta(seconds=60)
    unit, visit = fresh.unit(), visit_of(fresh, (), "Ada", clock)
    # A value cleared beside another that is written is for walks to meet, not for where they begin.
    unit.follows = False
    rig = BuiltIn(unit)
    states: list[tuple[Any, ...]] = [unit.kept()]
    read: Read = {}
    for _ in range(MOST_PLAYED):
        try:
            if visit.view.next.do == "nothing":
                break
            done = act(visit.view, rig)
            visit.submit(*done)
        except (Stuck, RigError, Refused):
            break
        events = visit._journal.events  # type: ignore[attr-defined]
        while len(states) <= len(events):
            states.append(unit.kept())
            if (last := events[len(states) - 2])["kind"] == "entered":
                read[last["n"]] = (last["field"], unit.memory, unit.faults)
    return replace(fresh, events=tuple(visit._journal.events), states=tuple(states), read=read)  # type: ignore[attr-defined]


__all__ = ["Begun", "Clock", "Memories", "Unlucky", "begun", "parse", "visit_of"]
