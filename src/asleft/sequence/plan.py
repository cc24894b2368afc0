"""The ordered work of entering settings: what to look at, write and read back, and where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from asleft.sequence.guards import POWER_ON, acts_of_write

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Setting
    from asleft.session.ledger import Ledger

Places = list[tuple["Setting", str]]
Meant = dict[tuple[str, str], str]

WRITES_ALLOWED = 2
"""A wrong read-back is written once more; a second wrong one is a failed SQ-3."""


@dataclass(frozen=True, slots=True)
class Step:
    """One act. `value` is what to set or what the control should show; `code` the characters to key.

    `ready` says that every step it must follow is done; `failed` that it was tried as often as it should be.
    `how` are the equipment file's own words.
    """

    n: int
    do: Literal["look", "write", "read_back", "power"]
    setting: str = ""
    address: str = ""
    value: str = ""
    code: str = ""
    power: str = "on"
    guards: tuple[str, ...] = ()
    done: bool = False
    ready: bool = True
    failed: bool = False
    shown: str = ""
    text: str = ""
    how: tuple[str, ...] = ()

    @property
    def pending(self) -> bool:
        """Neither done nor given up."""
        return not self.done and not self.failed

    @property
    def place(self) -> str:
        """`SETTING@ADDRESS`."""
        return f"{self.setting}@{self.address}"


def plan(ledger: Ledger) -> tuple[Step, ...]:
    """All steps in order, done ones too: looks by address, writes by power state and address, read-backs."""
    return tuple(replace(step, n=n) for n, step in enumerate(_steps(ledger), 1))


def _steps(ledger: Ledger) -> Iterator[Step]:
    places = _in_order(ledger.equipment)
    meant = ledger.planned()
    off = [p for p in places if p[0].power == "off"]
    on = [p for p in places if p[0].power == "on"]
    for setting, address in (*off, *on):
        yield _look(ledger, setting, address)
    to_write = [(s, a) for s, a in places if _must_write(ledger, s, a, meant)]
    tier_first = _tier_first(ledger, to_write)
    for power, batch in _batches(tier_first):
        if power == "off":
            yield _power(ledger, "off", batch, meant)
        for setting, address in batch:
            yield _write(ledger, setting, address, meant[setting.id, address])
        if power == "off":
            for setting, address in batch:
                yield _read_back(ledger, setting, address, meant, cycled=True)
            yield _power(ledger, "on", batch, meant)
    cycle = [(s, a) for s, a in to_write if s.power_cycle and s.power == "on"]
    if cycle:
        written = _last_write(ledger, cycle)
        offs = [p.n for p in ledger.state.powered if p.state == "off" and p.n > written > 0]
        ons = [p.n for p in ledger.state.powered if p.state == "on" and offs and p.n > offs[0]]
        ready = all(_written(ledger, s, a, meant[s.id, a]) for s, a in to_write)
        yield Step(0, "power", value="off", power="on", done=bool(offs), ready=ready, text=_POWER_CYCLE)
        yield Step(
            0,
            "power",
            value="on",
            power="off",
            done=bool(ons),
            ready=bool(offs),
            guards=(POWER_ON,),
            text="Switch power on.",
        )
    if not to_write and not any(a.kind == "wrote" for a in ledger.acts):
        return
    last = max((a for a in ledger.acts if a.kind == "wrote"), key=lambda a: a.n, default=None)
    end = last.address if last else to_write[-1][1]
    for setting, address in sorted(on, key=lambda place: place[1] != end):
        yield _read_back(ledger, setting, address, meant, cycled=_cycled(ledger, setting, address))


_POWER_CYCLE = "Switch power off and wait; the settings just written take effect after a power cycle."


def _in_order(equipment: Equipment) -> Places:
    """Every setting at every address, address by address in file order, each after those it must follow."""
    by_address = [a.id for a in equipment.address] or sorted(
        {a for s in equipment.setting for a in s.address}
    )
    ordered: Places = []
    done: set[str] = set()

    def put(setting: Setting, address: str) -> None:
        if (setting, address) in ordered:
            return
        for earlier in setting.after:
            before = equipment.setting_of(earlier)
            if before and earlier not in done and address in before.address:
                put(before, address)
        ordered.append((setting, address))
        done.add(setting.id)

    for address in by_address:
        for setting in equipment.setting:
            if address in setting.address:
                put(setting, address)
    return ordered


def _tier_first(ledger: Ledger, places: Places) -> Places:
    """Airflow before heat: the settings of the blower tier are written first, their order otherwise kept."""
    topic = ledger.equipment.role("blower-tier")
    tier = {id for option in topic.option for id in option.set} if topic else set()
    first_address = next((a for s, a in places if s.id in tier), None)

    def rank(place: tuple[Setting, str]) -> tuple[bool, bool]:
        return (place[1] != first_address if first_address else False, place[0].id not in tier)

    ranked = sorted(places, key=rank)
    moved = [p for p in ranked if not _follows(p[0], ranked, ranked.index(p))]
    return moved if len(moved) == len(ranked) else places


def _follows(setting: Setting, ranked: Places, index: int) -> bool:
    """Whether something this setting must follow stands behind it."""
    return any(s.id in setting.after for s, _ in ranked[index + 1 :])


def _batches(places: Places) -> Iterator[tuple[str, Places]]:
    """Runs of writes in one power state, as few as the order of `after` allows, power on first."""
    left, power = list(places), "on"
    while left:
        waiting = {s.id for s, _ in left}
        batch: Places = []
        moved = True
        while moved:
            moved = False
            for place in list(left):
                if place[0].power == power and not (set(place[0].after) & waiting - {s.id for s, _ in batch}):
                    batch.append(place)
                    left.remove(place)
                    moved = True
        if batch:
            yield power, batch
        power = "off" if power == "on" else "on"


def _must_write(ledger: Ledger, setting: Setting, address: str, meant: Meant) -> bool:
    value = meant.get((setting.id, address))
    if value is None:
        return False
    acts = ledger.acts_on(setting.id, address)
    if any(a.kind == "wrote" for a in acts):
        return True
    return bool(acts) and acts[-1].shown != value


def _written(ledger: Ledger, setting: Setting, address: str, value: str) -> bool:
    return ledger.shown(setting.id, address) == value


def _last_write(ledger: Ledger, places: Iterable[tuple[Setting, str]]) -> int:
    ns = [a.n for s, p in places for a in ledger.acts_on(s.id, p, "wrote")]
    return max(ns, default=0)


def _cycled(ledger: Ledger, setting: Setting, address: str) -> bool:
    """Whether power went off and on after the newest write of a setting that needs it."""
    if not setting.power_cycle:
        return True
    written = _last_write(ledger, [(setting, address)])
    if not written:
        return True
    offs = [p.n for p in ledger.state.powered if p.state == "off" and p.n > written]
    return bool(offs) and any(p.state == "on" and p.n > offs[0] for p in ledger.state.powered)


def _tries(ledger: Ledger, setting: Setting, address: str, value: str) -> int:
    """How often this value did not take since it was chosen or somebody mended something here.

    It did not take where the control showed another one as it was written, or read back.
    """
    key = f"SQ-3 setting.{setting.id}@{address}"
    since = max((n.n for n in ledger.state.notes if n.mends == key), default=0)
    chosen = max(
        (
            ledger.state.choices[topic.id].n
            for topic in ledger.equipment.topic
            if (option := ledger.chosen(topic)) is not None and setting.id in option.set
        ),
        default=0,
    )
    writes = [a for a in ledger.acts_on(setting.id, address, "wrote") if a.n > since]
    missed = sum(1 for a in writes if a.n > chosen and a.shown != value)
    first = next((a.n for a in writes if a.shown == value), None)
    if first is None:
        return missed
    return missed + sum(
        1 for a in ledger.acts_on(setting.id, address, "read_back") if a.n > first and a.shown != value
    )


def _refused(ledger: Ledger, setting: Setting, address: str) -> bool:
    """Whether somebody noted that this setting cannot be got at, and nothing was seen of it since."""
    subject = f"setting.{setting.id}@{address}"
    last = max((a.n for a in ledger.acts_on(setting.id, address)), default=0)
    return any(n.refused.partition(" ")[2] == subject and n.n > last for n in ledger.state.notes)


def _where(ledger: Ledger, address: str) -> str:
    found = next((a for a in ledger.equipment.address if a.id == address), None)
    return found.label if found else address


def _how(ledger: Ledger, setting: Setting, address: str, part: str) -> tuple[str, ...]:
    procedures = ledger.equipment.procedure
    lines: list[str] = []
    if (place := procedures.get(address)) is not None:
        lines.extend(place.reach)
    for key in (setting.entry, address):
        if (procedure := procedures.get(key)) is not None and getattr(procedure, part):
            lines.extend(getattr(procedure, part))
            if part == "change":
                lines.extend(procedure.store)
            break
    if place is not None:
        lines.extend(place.leave)
    return tuple(lines)


def _look(ledger: Ledger, setting: Setting, address: str) -> Step:
    found = ledger.acts_on(setting.id, address, "found")
    code = next((c for c in ledger.equipment.code if c.setting == setting.id), None)
    return Step(
        0,
        "look",
        setting.id,
        address,
        code=code.query if code else "",
        power=setting.power,
        guards=("hands inside",) if setting.power == "off" else (),
        done=bool(found),
        failed=_refused(ledger, setting, address),
        shown=found[-1].shown if found else "",
        text=f"Read “{setting.label}” at {_where(ledger, address)}, as found.",
        how=_how(ledger, setting, address, "read_back"),
    )


def _write(ledger: Ledger, setting: Setting, address: str, value: str) -> Step:
    code = ledger.equipment.code_of(setting.id, value)
    tries = _tries(ledger, setting, address, value)
    again = " once more" if tries else ""
    keyed = f" by keying {code.write}" if code else ""
    return Step(
        0,
        "write",
        setting.id,
        address,
        value,
        code=code.write if code else "",
        power=setting.power,
        guards=acts_of_write(ledger, setting.id, value),
        done=_written(ledger, setting, address, value),
        ready=all(
            (before := ledger.equipment.setting_of(id)) is None
            or all(
                (meant := ledger.planned().get((id, a))) is None or _written(ledger, before, a, meant)
                for a in before.address
            )
            for id in setting.after
        ),
        failed=tries >= WRITES_ALLOWED or _refused(ledger, setting, address),
        shown=ledger.shown(setting.id, address) or "",
        text=f"Set “{setting.label}” to {value} at {_where(ledger, address)}{keyed}{again}.",
        how=_how(ledger, setting, address, "change"),
    )


def _read_back(ledger: Ledger, setting: Setting, address: str, meant: Meant, *, cycled: bool) -> Step:
    state = ledger.state
    value = meant.get((setting.id, address))
    found = ledger.acts_on(setting.id, address, "found")
    expected = value if value is not None else (found[-1].shown if found else "")
    backs = ledger.acts_on(setting.id, address, "read_back")
    own = _last_write(ledger, [(setting, address)])
    since = own or _last_write(ledger, ledger.equipment.places())
    if setting.power_cycle and own and cycled:
        off = min(p.n for p in state.powered if p.state == "off" and p.n > own)
        since = min(p.n for p in state.powered if p.state == "on" and p.n > off)
    done = bool(backs) and backs[-1].n > since
    code = next((c for c in ledger.equipment.code if c.setting == setting.id), None)
    coded = ledger.equipment.code_of(setting.id, expected)
    display = coded.shown if coded else expected
    written = value is None or _written(ledger, setting, address, value) or bool(backs)
    others = _last_write(ledger, ledger.equipment.places())
    return Step(
        0,
        "read_back",
        setting.id,
        address,
        expected,
        code=code.query if code else "",
        power=setting.power,
        guards=("hands inside",) if setting.power == "off" else (),
        done=done,
        ready=written and cycled and (bool(own) or bool(others)),
        failed=not done and _refused(ledger, setting, address),
        shown=backs[-1].shown if backs else "",
        text=f"Read back “{setting.label}” at {_where(ledger, address)}: {display}.",
        how=_how(ledger, setting, address, "read_back"),
    )


def _power(ledger: Ledger, state: Literal["on", "off"], batch: Places, meant: Meant) -> Step:
    written = all(_written(ledger, s, a, meant[s.id, a]) for s, a in batch)
    now = ledger.state.power == state
    return Step(
        0,
        "power",
        value=state,
        power="off" if state == "on" else "on",
        guards=(POWER_ON,) if state == "on" else (),
        done=(written and now) if state == "on" else (written or now),
        ready=written or state == "off",
        text=f"Switch power {state}.",
    )
