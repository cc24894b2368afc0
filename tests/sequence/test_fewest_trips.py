"""As few trips between addresses as the rules allow, shown against every order that they allow."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from itertools import count, permutations
from typing import Any, NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.equipment.model import Equipment
from asleft.sequence import Step, plan
from asleft.sequence.plan import entering
from asleft.sequence.route import PANEL, Stop, route
from support import Told

ADDRESSES = ("house", "attic", "yard")
Cost = tuple[int, int]


# ---- writes alone: every order of up to six


@st.composite
def _stops(draw: st.DrawFn) -> tuple[Stop, ...]:
    many = draw(st.integers(1, 6))
    stops: list[Stop] = []
    for n in range(many):
        start = draw(st.sampled_from(ADDRESSES))
        elsewhere = draw(st.integers(0, 4)) == 0
        power = draw(st.sampled_from(("on", "on", "off")))
        earlier = draw(st.frozensets(st.sampled_from([s.key for s in stops]), max_size=2)) if stops else ()
        end = draw(st.sampled_from(ADDRESSES)) if elsewhere else start
        waits = power == "on" and draw(st.integers(0, 3)) == 0
        stops.append(Stop((str(n), start), start, end, power, waits, frozenset(earlier)))
    return tuple(draw(st.permutations(stops)))


def _cost(order: tuple[Stop, ...], here: str, power: str, owing: bool, then: frozenset[str]) -> Cost | None:
    """Power switches and trips of an order, None where the rules forbid it."""
    switches = trips = 0
    written: set[tuple[str, str]] = set()
    for n, stop in enumerate(order):
        if not stop.after & {s.key for s in order} <= written:
            return None
        if stop.power != power:
            if any(s.power == power and s.after & {o.key for o in order} <= written for s in order[n:]):
                return None
            power, here, switches = stop.power, PANEL, switches + 1
            owing = owing and power == "off"
        trips += (stop.start != here) + (stop.end != stop.start)
        here, owing = stop.end, owing or stop.waits
        written.add(stop.key)
    if power == "off":
        switches, here, owing = switches + 1, PANEL, False
    if owing:
        switches, here = switches + 2, PANEL
    return switches, trips + bool(then and here not in then)


@given(
    _stops(),
    st.sampled_from((*ADDRESSES, PANEL)),
    st.sampled_from(("on", "off")),
    st.booleans(),
    st.frozensets(st.sampled_from(ADDRESSES)),
)
@settings(max_examples=300, deadline=None)
def test_no_order_of_writes_costs_less(
    stops: tuple[Stop, ...], here: str, power: str, owing: bool, then: frozenset[str]
) -> None:
    """Of all orders of up to six writes, none needs fewer power switches, and none of those fewer trips."""
    order = route(stops, here, power, owing=owing, then=then)
    assert sorted(order, key=lambda s: s.key) == sorted(stops, key=lambda s: s.key)
    costs = [_cost(o, here, power, owing, then) for o in permutations(stops)]
    assert _cost(order, here, power, owing, then) == min(c for c in costs if c is not None)


def test_writes_that_wait_for_one_another_are_still_all_there() -> None:
    """A circle, which loading refuses, loses nothing."""
    a, b = ("a", "house"), ("b", "house")
    circle = (
        Stop(a, "house", "house", "on", after=frozenset([b])),
        Stop(b, "house", "house", "on", after=frozenset([a])),
    )
    assert route(circle, PANEL, "on") == circle


def test_hundreds_of_tangled_writes_are_ordered_as_the_rules_have_it() -> None:
    """Beyond what can be searched the order is still lawful."""
    stops = tuple(
        Stop(
            (str(n), ADDRESSES[n % 3]),
            ADDRESSES[n % 3],
            ADDRESSES[n % 3],
            "off" if n % 7 == 0 else "on",
            after=frozenset({(str(n - 5), ADDRESSES[(n - 5) % 3])} if n >= 5 else ()),
        )
        for n in range(300)
    )
    order = route(stops, PANEL, "on")
    assert _cost(order, PANEL, "on", False, frozenset()) is not None
    assert len(set(order)) == len(stops)


# ---- the whole plan: looks, writes, power, read-backs


@st.composite
def _units(draw: st.DrawFn) -> tuple[Equipment, frozenset[str]]:
    """A unit of up to three addresses and four settings, and the settings that are to change."""
    addresses = ADDRESSES[: draw(st.integers(1, 3))]
    ids = [f"s{n}" for n in range(draw(st.integers(1, 4)))]
    rows: list[dict[str, Any]] = []
    codes: list[dict[str, Any]] = []
    for n, id in enumerate(ids):
        lives = sorted(draw(st.sets(st.sampled_from(addresses), min_size=1, max_size=2 if n == 0 else 1)))
        power = draw(st.sampled_from(("on", "on", "off")))
        coded = power == "on" and draw(st.integers(0, 3)) == 0
        after = sorted(draw(st.sets(st.sampled_from(ids[:n]), max_size=2))) if n else []
        cycle = draw(st.integers(0, 3)) == 0
        entry = "code" if coded else "parameter"
        rows.append(
            {"id": id, "label": id, "entry": entry, "address": lives, "values": ["1", "2"], "power": power}
            | {"power_cycle": cycle, "after": after}
        )
        if coded:
            confirmed = {"confirm": "ok", "confirm_at": draw(st.sampled_from(addresses))}
            codes += [
                {"setting": id, "value": v, "write": [f"{id}{v}", "go"], "query": f"?{id}", "shown": v}
                | confirmed
                for v in ("1", "2")
            ]
    topics = [
        {"id": id, "label": id, "role": "other"}
        | {"option": [{"id": f"v{v}", "label": v, "set": {id: v}} for v in ("1", "2")]}
        for id in ids
    ]
    tier = {"id": "only", "label": "Only", "speed": [_SPEED]}
    found = {
        "format": 1,
        "unit": {"id": "trial", "maker": "Osmere", "model": "Trial"},
        "supply": [{"id": "240", "nominal": "240 V", "lowest": "216 V", "highest": "253 V"}],
        "blower": {"tier": [tier]},
        "address": [{"id": a, "label": a} for a in addresses],
        "setting": rows,
        "code": codes,
        "topic": topics,
    }
    return Equipment.model_validate(found), draw(st.frozensets(st.sampled_from(ids)))


_SPEED = {"use": "cooling", "units": ["Pa", "L/s", "W"], "rows": [[25, 600, 350], [100, 550, 380]]}


class _At(NamedTuple):
    looked: frozenset[tuple[str, str]]
    wrote: frozenset[tuple[str, str]]
    read: frozenset[tuple[str, str]]
    here: str
    power: str
    owing: bool


def _fewest(equipment: Equipment, change: frozenset[str]) -> Cost:
    """The least power switches, then trips, of any lawful order of all acts, one act at a time."""
    places = {(s.id, a): s for s, a in equipment.places()}
    to_write = frozenset(key for key in places if key[0] in change)
    start = _At(frozenset(), frozenset(), frozenset(), PANEL, "on", False)
    tie = count()
    queue: list[tuple[Cost, int, _At]] = [((0, 0), next(tie), start)]
    seen: set[_At] = set()
    while queue:
        cost, _, at = heapq.heappop(queue)
        if at in seen:
            continue
        seen.add(at)
        moves = list(_lawful(equipment, to_write, at))
        if not moves:
            return cost
        for (switches, trips), then in moves:
            heapq.heappush(queue, ((cost[0] + switches, cost[1] + trips), next(tie), then))
    raise AssertionError("no lawful order ends")


def _lawful(
    equipment: Equipment, to_write: frozenset[tuple[str, str]], at: _At
) -> Iterator[tuple[Cost, _At]]:
    places = {(s.id, a): s for s, a in equipment.by_address()}
    nothing = True
    # While looking nobody knows yet what will be written where: that is done in the order of the file.
    here = [key for key, setting in places.items() if setting.power == at.power]
    looking = next((key for key in here if key not in at.looked), None)
    for key in [looking] if looking else here:
        setting = places[key]
        move = int(key[1] != at.here)
        before = frozenset((s.id, a) for s, a in equipment.before(setting, key[1])) & to_write
        if key not in at.looked:
            nothing = False
            yield (0, move), at._replace(looked=at.looked | {key}, here=key[1])
        elif len(at.looked) == len(places) and key in to_write and key not in at.wrote and before <= at.wrote:
            nothing = False
            code = equipment.code_of(setting.id, "2")
            end = code.keyed(key[1])[-1][0] if code else key[1]
            owing = at.owing or setting.waits
            yield (0, move + (end != key[1])), at._replace(wrote=at.wrote | {key}, here=end, owing=owing)
        elif key not in at.read and to_write and _readable(setting.power, key, to_write, at):
            nothing = False
            yield (0, move), at._replace(read=at.read | {key}, here=key[1])
    unfinished = len(at.looked) < len(places) or at.wrote != to_write
    if nothing and (at.power == "off" or at.owing or unfinished):
        other = "off" if at.power == "on" else "on"
        yield (1, 0), at._replace(power=other, here=PANEL, owing=at.owing and other == "off")


def _readable(power: str, key: tuple[str, str], to_write: frozenset[tuple[str, str]], at: _At) -> bool:
    """With power off what was written is seen at once; with power on after the last write, all in force."""
    if power == "off":
        return key in at.wrote
    return at.wrote == to_write and not at.owing


def _walked(equipment: Equipment, change: frozenset[str]) -> Cost:
    """Power switches and trips of a person who follows the plan, first with power as it is, reading last."""
    told = Told(equipment)
    for topic in equipment.topic:
        told.event("chose", topic=topic.id, option="v2" if topic.id in change else "v1")
    here, power = PANEL, "on"
    switches = trips = 0
    while True:
        steps = plan(told.ledger)
        open_ = [s for s in steps if s.do == "look" and s.pending] or list(entering(steps, lambda _: False))
        if not open_:
            break
        step = next((s for s in open_ if s.do == "power" or s.power == power), open_[0])
        if step.do == "power" or step.power != power:
            power = step.value if step.do == "power" else step.power
            told.event("powered", state=power)
            switches, here = switches + 1, PANEL
            continue
        trips += step.address != here
        here = step.address
        if step.do == "write" and (code := equipment.code_of(step.setting, step.value)):
            end = code.keyed(step.address)[-1][0]
            trips += end != here
            here = end
        _obey(told, step)
    assert all(s.done for s in plan(told.ledger))
    return switches + (power == "off"), trips


def _obey(told: Told, step: Step) -> None:
    shown = {"look": "1", "write": step.value, "read_back": step.value}[step.do]
    kind = {"look": "found", "write": "wrote", "read_back": "read_back"}[step.do]
    told.event(kind, setting=step.setting, address=step.address, shown=shown)


@given(_units())
@settings(max_examples=120, deadline=None)
def test_no_lawful_order_of_the_whole_work_costs_less(made: tuple[Equipment, frozenset[str]]) -> None:
    """Looks, then writes in their order and power, then every read-back: no way round is shorter."""
    equipment, change = made
    assert _walked(equipment, change) == _fewest(equipment, change)
