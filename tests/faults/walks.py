"""Hostile walks: a visit cut into at any point, worked by somebody who heeds nothing, then led by `next`.

`PYTHONPATH=tests python -m faults.walks --count 10000` prints, for each guarded act, how many walks came as
far as it, how many got past it with a hold open, and how the walks ended. The suite takes a fast sample.

A walk begins somewhere in a visit played on a virtual unit, takes acts of every kind in any order, and is
then led by `next` alone. What guards what is written here from the trade's table, apart from the code that
enforces it.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from random import Random
from typing import Any

from asleft.drill.classroom.reference import InMemory
from asleft.drill.rig import BuiltIn, RigError, ask, resume
from asleft.drill.site import Site
from asleft.drill.technician import SimulatedClock, Stuck, act
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, instruments, units
from asleft.equipment.model import Equipment, EquipmentFile
from asleft.installation.faults import FAULTS, CannotBe, Fault, with_faults
from asleft.session.acts import Act, Enter
from asleft.session.ledger import Ledger
from asleft.visit import Refused, View, Visit
from played import found_once
from shared import kept_once

GUARDS: Mapping[str, tuple[str, ...]] = {
    "live readings": ("EL-18",),
    "hands inside": ("EL-1",),
    "loads on": ("EL-2", "EL-4", "EL-5", "EL-13", "EL-19"),
    "energising heat": ("EL-8", "EL-9", "EL-10", "ID-4"),
    "enabling heat": ("ID-3", "BL-11 predicted", "HS-5 predicted"),
    "signing as commissioned": ("BL-11 measured", "HS-5 measured", "EL-22", "HS-10", "BL-16", "SO-2"),
    "signing as not commissioned": ("SO-3",),
}
"""Holds that keep each act locked; where a check is both predicted and measured, which of the two."""

HEAT_ROLES = ("auxiliary-heat", "heat-in-defrost", "heat-on-lost-communication")
WALKS_A_VISIT = 25
"""Walks that begin in one played visit."""
MOST_FOLLOWED = 1500
"""Acts by which `next` must have come to an end."""
WORDS = [
    "yes",
    "no",
    "0",
    "-5",
    "1e9",
    "nan",
    "[bold]x",
    "../x",
    "24 V",
    "0.5 in wc",
    "240 V",
    "90 F",
    "zz",
    "",
]
"""Things typed by somebody who does not look."""

LIKELY = {
    "field": 14,
    "word": 6,
    "guarded": 16,
    "choose": 6,
    "setting": 14,
    "power": 8,
    "acknowledge": 8,
    "finding": 8,
    "retract": 12,
    "sign": 8,
    "note": 2,
    "redo": 2,
}
"""How likely each kind of act is in a walk, as weights."""


@dataclass(frozen=True)
class Base:
    """A visit played on a virtual unit: its site, the events of it, and what is wrong there."""

    equipment: EquipmentFile
    place: Site
    seed: int
    events: tuple[Mapping[str, Any], ...]
    faults: tuple[Fault, ...] = ()

    def unit(self) -> BuiltIn:
        """The virtual unit as nobody has touched it yet."""
        return BuiltIn(VirtualUnit(self.equipment.equipment, self.place, self.seed))

    def visit(self, events: Sequence[Mapping[str, Any]]) -> Visit:
        """The visit as it stood after these events, opened again."""
        clock = SimulatedClock(self.seed)
        for _ in events:
            clock()
        named = {i.id: i for i in instruments()}
        return Visit(InMemory(events), self.equipment, named, by="Ada", clock=clock)


@lru_cache(maxsize=4)
def base(unit: str, seed: int, faulty: bool = False) -> Base:
    """A visit worked as far as `next` leads, to its signature; the unit as it should be, or not."""
    equipment = find(unit)
    place = found_once(seed, equipment.equipment)
    faults = afflicting(Random(f"faults {unit} {seed}"), place, equipment.equipment) if faulty else ()
    truth = with_faults(place.installation, equipment.equipment, faults)
    fresh = Base(equipment, replace(place, installation=truth), seed, (), faults)
    return replace(fresh, events=kept_once(f"base {unit} {seed} {faulty}", lambda: _worked(fresh)))


def _worked(fresh: Base) -> tuple[Mapping[str, Any], ...]:
    visit = fresh.visit(())
    follow(visit, fresh.unit(), Walked())
    return tuple(visit._journal.events)


def afflicting(random: Random, place: Site, equipment: Equipment) -> tuple[Fault, ...]:
    """One to three faults of any size that a site can have together."""
    healthy = place.installation
    possible = [kind for kind in FAULTS.values() if not kind.can_be(healthy, equipment)]
    while True:
        faults = tuple(
            Fault(kind.kind, random.uniform(kind.mild, 1.0), random.choice(kind.places(healthy, equipment)))
            for kind in random.sample(possible, random.randint(1, min(3, len(possible))))
        )
        try:
            with_faults(healthy, equipment, faults)
        except CannotBe:
            continue
        return faults


@dataclass
class Walked:
    """What happened: per guarded act how often it was reached and passed, and how walks ended.

    `failed` are the findings that failed at any time.
    """

    reached: Counter[str] = field(default_factory=Counter)
    through: list[str] = field(default_factory=list)
    ends: Counter[str] = field(default_factory=Counter)
    troubles: list[str] = field(default_factory=list)
    accepted: int = 0
    refused: int = 0
    walks: int = 0
    failed: set[str] = field(default_factory=set)

    def add(self, other: Walked) -> None:
        """Join the count of another."""
        self.reached.update(other.reached)
        self.ends.update(other.ends)
        self.through += other.through
        self.troubles += other.troubles
        self.accepted += other.accepted
        self.refused += other.refused
        self.walks += other.walks


def heat_allowed(ledger: Ledger) -> frozenset[str]:
    """Topics by which heat may come on, as the control last showed."""
    topics = (ledger.equipment.role(role) for role in HEAT_ROLES)
    return frozenset(t.id for t in topics if t and (option := ledger.in_force(t)) and option.value)


def acts_of(before: View, left: str, typed: str, after: View | None) -> tuple[str, ...]:
    """Which guarded acts this is, from the trade's words alone."""
    head, colon, rest = left.partition(":")
    found: list[str] = []
    if not colon and head == "sign":
        return (f"signing as {typed}",) if typed in ("commissioned", "not commissioned") else ()
    if not colon and (known := before.ledger.fields.get(head)):
        if known.state == "isolated" and known.kind != "voltage":
            found.append("hands inside")
        elif known.state and known.instrument in ("meter", "clamp"):
            found.append("live readings")
        if known.state not in ("", "dead", "isolated", "idle"):
            found.append("loads on")
        if known.state.partition(".")[0] in ("heat", "after", "defrost", "ordinary"):
            found += ["energising heat", "enabling heat"]
    if head in ("found", "wrote", "read_back"):
        setting = before.equipment.setting_of(rest.partition("@")[0])
        if setting and setting.power == "off" and head != "read_back":
            found.append("hands inside")
        if head == "wrote" and after and heat_allowed(after.ledger) - heat_allowed(before.ledger):
            found.append("enabling heat")
    return tuple(found)


def open_holds(view: View, guarded: str) -> Iterator[str]:
    """Holds that are open and guard an act."""
    for name in GUARDS[guarded]:
        id, _, part = name.partition(" ")
        for finding in view.findings:
            right_part = not part or part not in ("predicted", "measured") or finding.subject.endswith(part)
            if finding.id == id and right_part and finding.severity == "hold" and not finding.releases:
                yield finding.key


def take(visit: Visit, left: str, typed: str, walked: Walked, seen: set[str]) -> bool:
    """One act, its guards looked at before and after. Gives whether it was taken."""
    before = visit.view
    try:
        visit.enter(left, typed)
    except Refused:
        seen.update(acts_of(before, left, typed, None))
        walked.refused += 1
        return False
    walked.accepted += 1
    walked.failed.update(f.key for f in visit.view.findings if f.failed)
    for guarded in acts_of(before, left, typed, visit.view):
        seen.add(guarded)
        walked.through += [f"{guarded}: {left} = {typed} past {key}" for key in open_holds(before, guarded)]
    return True


def anything(random: Random, visit: Visit, rig: BuiltIn) -> tuple[str, str]:
    """Any act at all, sensible or not, with a value the unit gives or one that somebody makes up."""
    view, unit = visit.view, visit.view.equipment
    fields = list(view.ledger.fields.values())
    kind = random.choices(list(LIKELY), list(LIKELY.values()))[0]
    match kind:
        case "field":
            return answered(random, view, rig, random.choice(fields).id)
        case "word":
            return random.choice(fields).id, random.choice(WORDS)
        case "guarded":
            return answered(random, view, rig, random.choice([f for f in fields if f.state] or fields).id)
        case "choose" if unit.topic:
            topic = random.choice(unit.topic)
            return f"choose:{topic.id}", random.choice(topic.option).id
        case "setting" if unit.setting:
            setting = random.choice(unit.setting)
            place = f"{setting.id}@{random.choice(setting.address)}"
            value = random.choice(setting.values or ("?",))
            code = unit.code_of(setting.id, value)
            return f"{random.choice(['found', 'wrote', 'read_back'])}:{place}", code.shown if code else value
        case "power":
            return "power", random.choice(["on", "off"])
        case "acknowledge":
            return f"acknowledge:{random.choice(['EL-1', 'EL-18', 'EL-19', 'SO-3', 'HS-10'])}", "yes"
        case "finding":
            finding = random.choice(view.findings)
            verb = random.choice(["waive", "mended", "cannot"])
            return f"{verb}:{finding.id}/{finding.subject}", "made up"
        case "retract" if view.state.last_n:
            return f"retract:{random.randint(1, view.state.last_n)}", "not so"
        case "sign":
            return "sign", random.choice(["commissioned", "not commissioned"])
        case "redo" if visit.undoable():
            return f"retract:{view.state.last_n}", "back"
    return random.choice([("note", "a remark"), ("cannot:power", "no switch"), ("broke:EL-1", "in a hurry")])


def answered(random: Random, view: View, rig: BuiltIn, id: str) -> tuple[str, str]:
    """A field with what the unit shows there; where it shows nothing, whatever."""
    try:
        found = ask(rig, view, Enter(id))
    except RigError:
        return id, random.choice(WORDS)
    return id, found.typed or random.choice(WORDS)


def follow(visit: Visit, rig: BuiltIn, walked: Walked) -> set[str]:
    """Do what `next` says until it says nothing; trouble is written down, not raised."""
    seen: set[str] = set()
    before: tuple[Act, str] | None = None
    for _ in range(MOST_FOLLOWED):
        view = visit.view
        if view.next.do == "nothing":
            signed = view.state.signature
            helpless = not signed and view.ledger.power_just_refused
            walked.ends[signed.outcome if signed else "calls for help" if helpless else "not signed"] += 1
            if not signed and not helpless:
                walked.troubles.append(f"nothing to do, and not signed: {view.next.text} {view.next.why}")
            return seen
        try:
            done = act(view, rig)
        except (RigError, Stuck) as trouble:
            walked.ends["stuck"] += 1
            walked.troubles.append(str(trouble))
            return seen
        if not take(visit, str(done[0]), done[1], walked, seen):
            walked.ends["refused"] += 1
            walked.troubles.append(f"next asked for what is refused: {done[0]} = {done[1]}")
            return seen
        if done == before and visit.view.next == view.next:
            walked.ends["repeats"] += 1
            walked.troubles.append(f"asked again after it was done: {view.next.text} {done}")
            return seen
        before = done
    walked.ends["endless"] += 1
    walked.troubles.append(f"not signed after {MOST_FOLLOWED} acts: {visit.view.next.text}")
    return seen


def walk(begun: Base, number: int) -> Walked:
    """One walk; the same number gives the same walk."""
    random, walked = Random(f"walk {number}"), Walked(walks=1)
    kept = begun.events[: random.randint(0, len(begun.events))]
    visit, rig = begun.visit(kept), begun.unit()
    resume(rig, visit.view)
    seen: set[str] = set()
    for _ in range(random.randint(4, 16)):
        take(visit, *anything(random, visit, rig), walked, seen)
    if random.random() < 0.5:
        visit = begun.visit(visit._journal.events)
    rig = begun.unit()
    resume(rig, visit.view)
    troubles = len(walked.troubles)
    seen |= follow(visit, rig, walked)
    for guarded in ("commissioned", "not commissioned"):
        take(visit, "sign", guarded, walked, seen)
    walked.reached.update(seen)
    wrong = "".join(f", {fault.kind} {fault.size:.2f} {fault.where}" for fault in begun.faults)
    where = f"walk {number}, {begun.equipment.equipment.unit.id} seed {begun.seed}{wrong}, from {len(kept)}: "
    walked.troubles[troubles:] = [where + text for text in walked.troubles[troubles:]]
    walked.through = [where + text for text in walked.through]
    return walked


def batch(number: int, count: int = WALKS_A_VISIT) -> Walked:
    """Walks that begin in one visit: unit and seed go with the number, every other seed's unit is faulty."""
    known = sorted(known.id for known in units())
    turn = number // len(known)
    begun = base(known[number % len(known)], 1 + turn // 2, bool(turn % 2))
    total = Walked()
    for at in range(number * WALKS_A_VISIT, number * WALKS_A_VISIT + count):
        try:
            total.add(walk(begun, at))
        except Exception as crash:  # noqa: BLE001  whatever it is, it is what the walks look for
            where = f"walk {at}, {begun.equipment.equipment.unit.id} seed {begun.seed}"
            trouble = f"{where}: crashed: {type(crash).__name__}: {crash}"
            total.add(Walked(walks=1, ends=Counter({"crashed": 1}), troubles=[trouble]))
    return total


def main(arguments: Sequence[str]) -> int:
    """Walk, and print what came of it; 1 where a guarded act was passed or a walk did not end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--first", type=int, default=0, help="number of the first visit begun in")
    chosen = parser.parse_args(arguments)
    batches = range(chosen.first, chosen.first + -(-chosen.count // WALKS_A_VISIT))
    total = Walked()
    with multiprocessing.Pool(chosen.processes) as pool:
        for at, part in enumerate(pool.imap_unordered(batch, batches), 1):
            total.add(part)
            print(f"{at} of {len(batches)} batches", file=sys.stderr)
    print(f"{total.walks} walks, {total.accepted} acts taken, {total.refused} refused")
    for guarded in GUARDS:
        share = total.reached[guarded] / total.walks
        print(f"  {guarded}: {total.reached[guarded]} walks came to it ({share:.0%})")
    print(f"past a guarded act with a hold open: {len(total.through)}")
    print("ends: " + json.dumps(dict(total.ends)))
    for text in (total.through + total.troubles)[:200]:
        print("  " + text)
    return bool(total.through or total.troubles)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
