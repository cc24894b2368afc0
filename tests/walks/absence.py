"""Whether nothing is live where hands go in (EL-25), by the readings of a record alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise, takewhile
from typing import Any

from walks.lapsing import another_sitting
from walks.paper import Event, Record

ABSENT_V = 3.0
"""Volts that count as absent (TRADE's own figure, from memory)."""
CHARGED_V = 50.0
"""Volts of a drive's bus that are live (common practice, from memory)."""
AT = "electrical.dead."
FIT = ("two-pole tester", "low-impedance ac volts")


def absent(record: Record) -> bool:
    """Every pair and leg at most 3 V since power was last off, by a tester tried before and after."""
    since = _since(record)
    read = {id: event for id, event in record.values.items() if id.startswith(AT) and event["n"] > since}
    wanted = [AT + point for point in points(record)]
    if any(point not in read or float(read[point]["value"]) > ABSENT_V for point in wanted):
        return False
    if not _tried(read, wanted):
        return False
    return record.unit.file["blower"].get("motor") != "electronic" or _discharged(read)


def _since(record: Record) -> int:
    """The last event after which what was read before it tells nothing: off once more is no news."""
    left = (e["n"] for before, e in pairwise(record.events) if another_sitting("EL-1", before, e))
    on = (e["n"] for e in record.events if e["kind"] == "powered" and e["state"] == "on")
    off = takewhile(lambda switch: switch[1] == "off", reversed(record.powered))
    return max(record.damaged, *left, *on, min((n for n, _ in off), default=0))


def points(record: Record) -> Iterator[str]:
    """Between which conductors it is read: those of every circuit, and of a supply that lands beside them."""
    kit = record.kit or {}
    circuits = kit.get("circuit", ())
    for n, _ in enumerate(circuits, 1):
        yield from _of_one(f"circuit.{n}.", kit)
        if n > 1:
            yield f"circuit.{n}.to_others"
    if not any(circuit.get("feeds_blower") for circuit in circuits):
        yield from _of_one("line.", record.supply or {})
        if circuits:
            yield "line.to_others"


def _of_one(place: str, fed: Mapping[str, Any]) -> Iterator[str]:
    three = fed.get("phases", 1) == 3
    ends = ("l1_l2", "l2_l3", "l3_l1") if three else ("l1_l2",)
    legs = ("l1", "l2", "l3") if three else ("l1", "l2")
    yield from (place + pair for pair in ends)
    yield from (f"{place}{leg}_ground" for leg in legs)


def _tried(read: Mapping[str, Event], wanted: list[str]) -> bool:
    """The tester, of a fit kind, on a known source before the first reading and after the last."""
    told = [read.get(AT + name) for name in ("function", "tester_before", "tester_after")]
    if None in told:
        return False
    function, before, after = (event for event in told if event is not None)
    if function["value"] not in FIT or before["value"] is not True or after["value"] is not True:
        return False
    taken = [read[point]["n"] for point in wanted]
    return before["n"] < min(taken) and max(taken) < after["n"]


def _discharged(read: Mapping[str, Event]) -> bool:
    waited, bus = read.get(AT + "waited"), read.get(AT + "bus")
    if bus is not None:
        return float(bus["value"]) <= CHARGED_V
    return waited is not None and waited["value"] is True
