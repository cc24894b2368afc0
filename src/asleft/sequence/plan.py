"""The ordered work of entering settings: what to look at, write and read back, and where."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

from asleft.sequence.guards import ENABLING, acts_of_write
from asleft.sequence.route import PANEL, Stop, route
from asleft.sequence.steps import (
    Meant,
    Place,
    Step,
    in_force_since,
    last_write,
    look,
    power,
    read_back,
    write,
    written,
)

if TYPE_CHECKING:
    from asleft.session.ledger import Ledger


def plan(ledger: Ledger) -> tuple[Step, ...]:
    """All steps in order, done ones too: looks by address, writes by the shortest route, read-backs."""
    return tuple(replace(step, n=n) for n, step in enumerate(_steps(ledger), 1))


def entering(steps: Iterable[Step], locked: Callable[[Step], bool]) -> Iterator[Step]:
    """The writes, read-backs and power switching that may be done once all is looked at, in order.

    With power on nothing is read back before the last write and its power cycle, so that no address is gone
    to twice and a later write cannot undo unseen what was read. A locked write keeps no read-back waiting,
    but power is not switched for it.
    """
    open_ = [s for s in steps if s.do != "look" and s.pending]
    yield from (s for s in open_ if s.ready and (s.do == "write" or (s.do, s.power) == ("read_back", "off")))
    writes = [s for s in open_ if s.do == "write"]
    if not writes:
        yield from (s for s in open_ if s.ready and s.do == "power")
    if all(locked(s) for s in writes):
        yield from (s for s in open_ if s.ready and (s.do, s.power) == ("read_back", "on"))


def _steps(ledger: Ledger) -> Iterator[Step]:
    places = list(ledger.equipment.by_address())
    on = [p for p in places if p[0].power == "on"]
    looks = [look(ledger, p) for p in (*(p for p in places if p[0].power == "off"), *on)]
    yield from looks
    meant = ledger.planned()
    to_write = [place for place in places if _must_write(ledger, place, meant)]
    if not to_write and not last_write(ledger, places) and not ledger.out_of_sight:
        return
    order = _route(ledger, to_write, on, meant)
    # Where power cannot be switched, what it hides is never seen, and must not keep heat from being put off.
    hidden = {"on": "off", "off": "on"}[ledger.state.power] if ledger.power_refused else ""
    seen_all = not any(step.pending and step.power != hidden for step in looks)
    for step in _writes(ledger, order, meant):
        yield step if seen_all or step.do != "write" else replace(step, ready=False)
    cut = not order or order[-1][0].power == "off" or _cut_after(order)
    end = PANEL if cut else _end(ledger, order[-1], meant)
    moved = [p for p in places if p[0].power == "off" and _may_have_moved(ledger, p) and p not in order]
    for place in (*moved, *sorted(on, key=lambda place: place[1] != end)):
        yield read_back(ledger, place, meant)


def _may_have_moved(ledger: Ledger, place: Place) -> bool:
    """Whether another write or a repair may have moved a setting, or a damaged record lost a write of it."""
    setting, address = place
    seen_before = any(act.n < ledger.out_of_sight for act in ledger.acts_on(setting.id, address))
    return seen_before or ledger.disturbed(setting.id, address) is not None


def _must_write(ledger: Ledger, place: Place, meant: Meant) -> bool:
    """Whether a setting was found otherwise than meant, or was written already."""
    setting, address = place
    value = meant.get((setting.id, address))
    acts = ledger.acts_on(setting.id, address)
    if value is None or not acts:
        return False
    return ledger.held(setting.id, address) != value or any(a.kind == "wrote" for a in acts)


# ---- the route


def _route(ledger: Ledger, to_write: list[Place], on: list[Place], meant: Meant) -> list[Place]:
    """What is written already as it was written, then the rest by the shortest way from here."""
    left = [place for place in to_write if not written(ledger, place, meant)]
    done = [place for place in to_write if written(ledger, place, meant)]
    done.sort(key=lambda place: last_write(ledger, [place]))
    owing = any(in_force_since(ledger, place) is None for place in done)
    stops = _stops(ledger, left, meant)
    by_key = {(s.id, a): (s, a) for s, a in left}
    best = route(stops, _here(ledger), ledger.state.power, owing=owing, then=frozenset(a for _, a in on))
    return [*done, *(by_key[stop.key] for stop in best)]


def _stops(ledger: Ledger, places: list[Place], meant: Meant) -> tuple[Stop, ...]:
    """The writes with what each must follow: airflow before heat, unless the file has it the other way."""
    before = {(s.id, a): frozenset((e.id, at) for e, at in ledger.equipment.before(s, a)) for s, a in places}
    topic = ledger.equipment.role("blower-tier")
    carried = {id for option in topic.option for id in option.set} if topic else set()
    tier = frozenset(key for key in before if key[0] in carried)
    first = _with_earlier(tier, before)
    for setting, address in places:
        key = (setting.id, address)
        if key not in first and ENABLING in acts_of_write(ledger, setting.id, meant[key]):
            before[key] |= tier
    return tuple(
        Stop((s.id, a), a, _end(ledger, (s, a), meant), s.power, s.waits, before[s.id, a]) for s, a in places
    )


def _with_earlier(
    keys: frozenset[tuple[str, str]], before: dict[tuple[str, str], frozenset[tuple[str, str]]]
) -> frozenset[tuple[str, str]]:
    """These writes and all that comes before them."""
    found, fresh = keys, keys
    while fresh:
        fresh = frozenset(e for key in fresh for e in before.get(key, ())) - found
        found |= fresh
    return found


def _end(ledger: Ledger, place: Place, meant: Meant) -> str:
    """The address at which writing a setting ends: its own, or where its code is confirmed."""
    setting, address = place
    code = ledger.equipment.code_of(setting.id, meant[setting.id, address])
    return code.keyed(address)[-1][0] if code else address


def _here(ledger: Ledger) -> str:
    """The address of the newest act, or the panel where power was switched since."""
    newest = max(ledger.acts, key=lambda act: act.n, default=None)
    if newest is None or any(p.n > newest.n for p in ledger.state.powered):
        return PANEL
    code = ledger.equipment.code_of(newest.setting, newest.shown) if newest.kind == "wrote" else None
    return code.keyed(newest.address)[-1][0] if code else newest.address


# ---- writing, with power as it must be


def _cut_after(order: list[Place]) -> bool:
    """Whether power has to be cycled after the last write, since nothing else cuts it."""
    waits = [n for n, (setting, _) in enumerate(order) if setting.waits]
    return bool(waits) and all(setting.power == "on" for setting, _ in order[waits[-1] :])


def _writes(ledger: Ledger, order: list[Place], meant: Meant) -> Iterator[Step]:
    steps = {(s.id, address): write(ledger, (s, address), meant) for s, address in order}

    def of(places: Iterable[Place]) -> list[Step]:
        return [steps[setting.id, address] for setting, address in places]

    for needed, group in groupby(order, key=lambda place: place[0].power):
        batch = list(group)
        if needed == "on":
            yield from of(batch)
            continue
        # A write given up is settled as well: power is not switched for it again.
        settled = not any(step.pending for step in of(batch))
        now = ledger.state.power
        yield power("off", "Switch power off.", done=settled or now == "off", ready=True)
        for _, visit in groupby(batch, key=lambda place: place[1]):
            visited = list(visit)
            yield from of(visited)
            yield from (read_back(ledger, place, meant) for place in visited)
        since = last_write(ledger, batch)
        came_on = now == "on" or any(p.n > since and p.state == "on" for p in ledger.state.powered)
        yield power("on", "Switch power on.", done=settled and came_on, ready=settled)
    if not _cut_after(order):
        return
    waiting = [place for place in order if place[0].waits]
    since = last_write(ledger, waiting)
    if not since and not any(step.pending for step in of(waiting)):
        return
    offs = [p.n for p in ledger.state.powered if p.state == "off" and p.n > since > 0]
    ons = [p.n for p in ledger.state.powered if p.state == "on" and offs and p.n > offs[0]]
    ready = not any(step.pending for step in steps.values())
    text = "Switch power off and wait; the settings just written take effect after a power cycle."
    yield power("off", text, done=bool(offs), ready=ready)
    yield power("on", "Switch power on.", done=bool(ons), ready=bool(offs))
