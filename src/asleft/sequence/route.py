"""In what order to write: power switched as seldom as can be, then as few trips between addresses."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple

PANEL = ""
"""Where power is switched: no address."""

WORK = 20_000
"""Half-finished routes times stops that are looked at before the nearest address is simply taken.

Real units need a few hundred; a hostile file must not keep a person waiting.
"""


@dataclass(frozen=True, slots=True)
class Stop:
    """One write: where it begins and ends, the power it needs, and which others come before it.

    `waits` says that it takes effect only once power has been off and on.
    """

    key: tuple[str, str]
    start: str
    end: str
    power: str
    waits: bool = False
    after: frozenset[tuple[str, str]] = frozenset()


class _At(NamedTuple):
    """How far a route has come: what is written, where it stands, the power, whether a cut is still owed."""

    done: frozenset[int]
    here: str
    power: str
    owing: bool


Cost = tuple[int, int]
"""Power switched, and trips to an address."""
Waits = tuple[frozenset[int], ...]


def route(
    stops: tuple[Stop, ...], here: str, power: str, *, owing: bool = False, then: frozenset[str] = frozenset()
) -> tuple[Stop, ...]:
    """The stops in the order of fewest power switches, then fewest trips, then as given.

    Whatever can be written with power as it is comes before power is switched. It starts `here`, and ends
    with power on and every value in force, best at one of the addresses `then` gone to. `owing` says that
    something written before still waits for power to be off and on. Stops that wait for one another in a
    circle come last, as given.
    """
    keys = {s.key: n for n, s in enumerate(stops)}
    waits = tuple(frozenset(keys[k] for k in s.after if k in keys and k != s.key) for s in stops)
    order = _best(stops, waits, _At(frozenset(), here, power, owing), then)
    left = [n for n in range(len(stops)) if n not in order]
    return tuple(stops[n] for n in (*order, *left))


def _best(stops: tuple[Stop, ...], waits: Waits, start: _At, afterwards: frozenset[str]) -> tuple[int, ...]:
    """Fewest switches and trips: the cheapest route first, by what it cost and at least will cost."""
    tie = count()
    queue: list[tuple[tuple[int, int, tuple[int, ...]], int, Cost, _At, tuple[int, ...]]] = []
    heapq.heappush(queue, ((0, 0, ()), next(tie), (0, 0), start, ()))
    seen: set[_At] = set()
    while True:
        _, _, spent, at, order = heapq.heappop(queue)
        if at in seen:
            continue
        seen.add(at)
        moves = list(_moves(stops, waits, at))
        if not moves:
            if not afterwards or at.here in afterwards:
                return order
            moves = [((0, 1), at._replace(here=min(afterwards)), ())]
        if len(seen) * len(stops) > WORK:
            queue.clear()
            seen.clear()
        for cost, then, written in moves:
            total = (spent[0] + cost[0], spent[1] + cost[1])
            along = (*order, *written)
            least = _least(stops, then)
            expected = (total[0] + least[0], total[1] + least[1], along)
            heapq.heappush(queue, (expected, next(tie), total, then, along))


def _least(stops: tuple[Stop, ...], at: _At) -> Cost:
    """Switches and trips that what is left costs at the very least."""
    left = [s for n, s in enumerate(stops) if n not in at.done]
    other_power = any(s.power != at.power for s in left)
    switches = (at.power != "on") + 2 * (at.power == "on" and (other_power or at.owing))
    return switches, len({s.start for s in left} - {at.here})


def _moves(stops: tuple[Stop, ...], waits: Waits, at: _At) -> Iterator[tuple[Cost, _At, tuple[int, ...]]]:
    """What can be done next: all that can be written at one address; power switched once nothing can."""
    left = [n for n in range(len(stops)) if n not in at.done]
    nothing = True
    for address in dict.fromkeys(stops[n].start for n in left):
        written = _all_at(stops, waits, at, address, left)
        done = at.done.union(written)
        owing = at.owing or any(stops[n].waits for n in written)
        if written:
            nothing = False
            yield (0, int(address != at.here)), _At(done, address, at.power, owing), written
        for n in left:
            stop = stops[n]
            carried = stop.start == address != stop.end
            if carried and n not in done and stop.power == at.power and waits[n] <= done:
                nothing = False
                trips = int(address != at.here) + 1
                then = _At(done | {n}, stop.end, at.power, owing or stop.waits)
                yield (0, trips), then, (*written, n)
    if nothing and (at.power == "off" or at.owing or _something_off(stops, waits, at, left)):
        other = "off" if at.power == "on" else "on"
        yield (1, 0), _At(at.done, PANEL, other, at.owing and other != "on"), ()


def _something_off(stops: tuple[Stop, ...], waits: Waits, at: _At, left: Iterable[int]) -> bool:
    """Whether something can be written as soon as power is off."""
    return any(stops[n].power == "off" and waits[n] <= at.done for n in left)


def _all_at(stops: tuple[Stop, ...], waits: Waits, at: _At, address: str, left: list[int]) -> tuple[int, ...]:
    """Everything that can be written at one address without leaving it, in the order given."""
    here = [n for n in left if stops[n].start == stops[n].end == address and stops[n].power == at.power]
    written: list[int] = []
    done = set(at.done)
    while (free := next((n for n in here if n not in done and waits[n] <= done), None)) is not None:
        written.append(free)
        done.add(free)
    return tuple(written)
