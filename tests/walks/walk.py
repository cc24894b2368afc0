"""One walk: acts of somebody who heeds nothing, mixed into what `next` says, judged one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from asleft.drill.answers import RigError
from asleft.drill.rig import BuiltIn
from asleft.drill.technician import Stuck, act
from asleft.equipment.library import instruments, units
from asleft.journal import Journal, header_bytes, read
from asleft.session.acts import NotAnAct, parse
from asleft.visit import Refused
from asleft.visit.carrying import carry_on
from walks.attacks import attack
from walks.hostile import Hand, anything
from walks.lapsing import stands
from walks.oracle import EVERY, FOLLOWERS, Breach, Oracle
from walks.paper import Event, Record
from walks.paper import field as told
from walks.world import CHANGED, Begun, Clock, begun, paper, visit_of

PEOPLE = ("Ada", "Ben")
TROUBLES = ("refused", "an error text", "nothing", "nonsense")


@dataclass
class Told:
    """What came of walks: what was reached how often, and what broke a rule."""

    walks: int = 0
    reached: dict[str, Counter[str]] = field(default_factory=dict)
    breaches: list[tuple[Breach, str]] = field(default_factory=list)
    crashes: list[str] = field(default_factory=list)

    def count(self, table: str, row: str, by: int = 1) -> None:
        """One more of a row."""
        self.reached.setdefault(table, Counter())[row] += by

    def add(self, other: Told) -> None:
        """Join the count of another."""
        self.walks += other.walks
        self.breaches += other.breaches
        self.crashes += other.crashes
        for table, rows in other.reached.items():
            self.reached.setdefault(table, Counter()).update(rows)


class Walk(Hand):
    """A walk under way. `honest`: only what the unit shows is entered, and only what was done is said."""

    def __init__(
        self, begun: Begun, number: int, rules: frozenset[str], told: Told, *, aim: str = ""
    ) -> None:
        self.random, self.begun, self.number, self.told = Random(f"walk {number}"), begun, number, told
        self.oracle = Oracle(paper(begun.equipment.text), rules)
        self.honest, self.aim = self.random.random() < 0.6, aim
        self.known = True
        """Whether the record tells all that was done to the unit, as far as anybody said."""
        self.unit = begun.unit()
        self.unit.follows = FOLLOWERS in rules
        self.rig = BuiltIn(self.unit)
        self.read = dict(begun.read)
        """By event, what was read and how the unit stood then."""
        self.acts: list[str] = []
        self.misled: set[str] = set()
        total = len(begun.events)
        self.from_event = self.random.choice(
            (0, self.random.randint(0, total), total, total - self.random.randint(0, min(total, 90)))
        )
        self.unit.put_back(begun.states[self.from_event])
        self.events: list[Event] = list(begun.events[: self.from_event])
        self.clock = Clock(_at(self.events[-1]["at"]) if self.events else _at("2031-03-04T07:30:00Z"))
        self.clock()
        self.by = "Ada"
        self.open()

    def open(self, zone: str = "") -> None:
        """The visit opened anew, by whoever is here now."""
        self.visit = visit_of(self.begun, self.events, self.by, self.clock, zone)

    # ---- the unit, for the oracle

    @property
    def power(self) -> str:
        """As it is."""
        return self.unit.power

    @property
    def stored(self) -> Mapping[tuple[str, str], str]:
        """What the control holds."""
        return self.unit.stored

    def now(self, id: str) -> Any:
        """What a field truly reads now."""
        return self.unit.reads(id, self.unit.memory, self.unit.faults)

    def then(self, id: str, n: int) -> Any:
        """What a field truly read in an event."""
        if n not in self.read:
            return None
        assert self.read[n][0] == id, f"event {n} read {self.read[n][0]}, not {id}"
        return self.unit.reads(*self.read[n])

    # ---- acts

    def go(self, steps: int) -> None:
        """So many steps, then an honest end or a hostile one."""
        led = self.random.uniform(0.35, 0.85)
        for _ in range(steps):
            if self.random.random() < led:
                self.led()
            else:
                anything(self)
            self.look_at_next()
        for outcome in ("commissioned", "not commissioned"):
            self.take("sign", outcome)

    def led(self) -> None:
        """What `next` says, as the unattended technician does it."""
        view = self.visit.view
        if view.next.do == "nothing":
            anything(self)
            return
        kept = self.unit.kept()
        try:
            done = act(view, self.rig)
        except (RigError, Stuck):
            self.told.count("ends of next", "the rig failed")
            return
        if not self.take(str(done[0]), done[1], kept=kept):
            self.told.count("ends of next", f"refused: {str(done[0]).partition(':')[0]}")

    def look_at_next(self) -> None:
        """Whether what is next goes past a hold that endangers."""
        said = self.visit.view.next
        record = Record(self.oracle.unit, self.events)
        left = said.enter if said.do != "write" else said.setting
        for breach in self.oracle.misleads(record, said.do, left):
            if (key := f"{breach.act}") not in self.misled:
                self.misled.add(key)
                self.broke(breach)

    def take(self, left: str, typed: str, *, kept: Any = None, lie: bool = False) -> bool:
        """One act typed: whether it was taken. What was done at the unit is undone where it was refused."""
        before = len(self.events)
        record = Record(self.oracle.unit, self.events)
        would = self.would(left, typed)
        forbidden = self.oracle.forbids(record, would) if would else []
        self.acts.append(f"{left}={typed}")
        kind = left.partition(":")[0] if ":" in left else left if left in PLAIN else "field"
        try:
            self.visit.enter(left, typed)
        except Refused as refused:
            if kept is not None:
                self.unit.put_back(kept)
            self.acts[-1] += " (refused)"
            self.told.count("acts refused", kind)
            held = {h.id for h in refused.holds}
            for hold, guarded in forbidden:
                if hold.partition(" ")[0] in held or not held:
                    self.told.count("guards that held", f"{hold} | {guarded}")
                    if (cause := stands(record, hold)[1]) and hold in held:
                        self.told.count("lapses that held", f"{hold} after {cause}")
            return False
        if lie:
            self.honest = False
        self.told.count("acts taken", kind)
        self.events = list(self.visit._journal.events)  # type: ignore[attr-defined]
        for at in range(before, len(self.events)):
            self.happened(self.events[:at], self.events[at])
        return True

    def happened(self, events: Sequence[Event], event: Event) -> None:
        """One event more: remember what it truly was, and judge it."""
        if event["kind"] == "entered":
            self.read[event["n"]] = (event["field"], self.unit.memory, self.unit.faults)
            state = told(event["field"]).get("state", "")
            self.told.count("states read in", state.partition(".")[0] or "none")
        if event["kind"] == "retracted" and Record(self.oracle.unit, [*events, event]).power != self.power:
            # It says that the record was wrong of the switch, and the record was right.
            self.known = False
        for guarded in self.oracle.acts(Record(self.oracle.unit, events), event):
            self.told.count("guarded acts done", guarded)
        for breach in self.oracle.judge(events, event, self if self.honest and self.known else None):
            self.broke(breach)

    def broke(self, breach: Breach) -> None:
        """A rule was broken."""
        wrong = "".join(f", {f.kind} {f.size:.2f} {f.where}".rstrip() for f in self.begun.faults)
        where = (
            f"walk {self.number} at {self.begun.equipment.equipment.unit.id} seed {self.begun.seed}{wrong}"
        )
        self.told.breaches.append((breach, f"{where}, from {self.from_event}: " + "; ".join(self.acts[-14:])))

    def would(self, left: str, typed: str) -> dict[str, Any]:
        """The event that an act would be, as far as a guard asks; nothing where it would be none."""
        with suppress(NotAnAct):
            parse(left)
            head, _, rest = left.partition(":")
            match head:
                case "power":
                    return {"kind": "powered", "state": typed, "n": 0}
                case "sign":
                    return {"kind": "signed", "outcome": typed, "n": 0}
                case "found" | "wrote" | "read_back":
                    setting, _, address = rest.partition("@")
                    return {"kind": head, "setting": setting, "address": address, "shown": typed, "n": 10**6}
                case "acknowledge":
                    return {"kind": "acknowledged", "id": rest, "n": 0}
                case "retract":
                    return {"kind": "retracted", "of": int(rest), "n": 10**6}
                case _ if told(left):
                    return {"kind": "entered", "field": left, "n": 0}
        return {}

    def attack(self) -> None:
        """One hold opened, and what it guards done."""
        attack(self)

    # ---- between sittings

    def pause(self, long: timedelta) -> None:
        """The clock goes on."""
        self.clock.at += long
        self.acts.append(f"({long} later)")

    def reopen(self, by: str, zone: str = "") -> None:
        """The program is closed, and opened again by somebody."""
        self.by = by
        self.acts.append(f"(opened by {by})")
        self.told.count("sittings", "another person" if by != "Ada" else "opened again")
        self.open(zone)

    def cut(self) -> None:
        """The file loses its end at a link line, which nobody can see in one file."""
        if len(self.events) > 3:
            self.events = self.events[
                : self.random.randint(len(self.events) - min(20, len(self.events) - 2), len(self.events) - 1)
            ]
            self.read = {n: r for n, r in self.read.items() if n <= len(self.events)}
            self.known = False
            self.acts.append(f"(file cut to {len(self.events)})")
            self.told.count("sittings", "file cut at a link line")
            self.open()

    def damage(self) -> None:
        """An event of the file is damaged, and somebody carries on from what is verified."""
        if len(self.events) < 4:
            return
        at = self.random.randint(max(1, len(self.events) - 25), len(self.events) - 1)
        with TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
            path = self.on_disk(Path(folder), at)
            held = {i.id: i for i in instruments()}
            carried = carry_on(path, held, by=self.by, clock=self.clock, session_id="carried")
            now = read(carried.path)
            carried.close()
        lost = self.events[len(now.events) - 2 :]
        self.events = [{k: v for k, v in e.items() if k != "link"} for e in now.events]
        self.read = {n: r for n, r in self.read.items() if n <= len(self.events) - 2}
        self.acts.append(f"(event {at + 1} damaged, carried on)")
        self.told.count("sittings", "carried on from damage")
        if any(e["kind"] in ("powered", "wrote") for e in lost):
            self.told.count("sittings", "carried on, a write or power lost")
        self.open()

    def on_disk(self, folder: Path, damaged: int) -> Path:
        """The record as a file with one event damaged."""
        header = header_bytes(
            id="walk",
            mode="job",
            app="walks",
            rules="0",
            opened_by="Ada",
            follows=None,
            equipment_text=self.begun.equipment.text,
        )
        journal = Journal.create(folder, "walk", header)
        journal.append(self.events)
        journal.close()
        data = journal.path.read_bytes()
        begin = data.index(f"[[event]]\nn = {damaged + 1}\n".encode())
        spoiled = data.index(b"kind", begin)
        journal.path.write_bytes(data[:spoiled] + b"k1nd" + data[spoiled + 4 :])
        return journal.path

    def trouble(self) -> None:
        """The next request to the rig goes wrong."""
        how = self.random.choice(TROUBLES)
        self.told.count("rig troubles", how)

        def answer(request: Mapping[str, Any]) -> dict[str, Any] | None:
            self.unit.trouble = lambda request: None
            match how:
                case "refused":
                    return {"refused": "not now"}
                case "an error text":
                    key = {"read": "typed", "look": "shown", "write": "shown", "code": "shown"}
                    return {key.get(str(request["do"]), "refused"): "E 41"}
                case "nothing":
                    raise RigError("The rig was silent for 10 s.")
            return {"odd": 1}

        self.unit.trouble = answer


PLAIN = ("power", "note", "sign", "seal", "report", "finish")


def _at(text: str) -> datetime:
    return datetime.fromisoformat(text.removesuffix("Z")).replace(tzinfo=UTC)


def kinds() -> list[str]:
    """The units that walks are made at."""
    return [*sorted(known.id for known in units()), *CHANGED]


WALKS_A_VISIT = 40


def start_of(number: int) -> Begun:
    """The visit that a batch begins in: two in three of them at faulty units."""
    known = kinds()
    turn = number // len(known)
    return begun(known[number % len(known)], 1 + turn // 3, bool(turn % 3))


def batch(
    number: int, count: int = WALKS_A_VISIT, rules: frozenset[str] = EVERY, *, first: int = 0, aim: str = ""
) -> Told:
    """Walks that begin in one visit: unit, seed and faults go with its number."""
    start, total, begin = start_of(number), Told(), number * WALKS_A_VISIT + first
    for at in range(begin, begin + count):
        total.walks += 1
        walk = Walk(start, at, rules, total, aim=aim)
        try:
            walk.go(walk.random.randint(15, 110))
        except Exception as crash:  # noqa: BLE001  whatever it is, it is what the walks look for
            acts = "; ".join(walk.acts[-5:])
            total.crashes.append(f"walk {at} at {start.equipment.equipment.unit.id}: {crash!r} after {acts}")
    return total
