"""What the statics foretell of the air over the heater: the trade's sums, straight lines between rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from walks.paper import Event, Record, amount

STATICS = ("blower.static.supply", "blower.static.return")
ROOM = 0.85
"""Only what lies this far below a limit is held against the program: some parts are not reckoned."""
HOTTER_K = 8.0


@dataclass(frozen=True)
class Foretold:
    """Whether the air is clearly too little, or clearly too hot."""

    starved: bool
    too_hot: bool


def predicted(record: Record, current: Callable[[str], Event | None]) -> Foretold | None:
    """What is foretold for the tier ahead; None where no statics were read.

    `current` gives the entry of a field that nothing has changed since.
    """
    if any(id not in record.values for id in STATICS):
        return None
    supply, back = (record.values[id] for id in STATICS)
    total = float(supply["value"]) - float(back["value"])
    read_in = _tier(record, record.option("blower-tier", max(supply["n"], back["n"])))
    ahead = _tier(record, record.choice("blower-tier") or record.option("blower-tier"))
    kit = record.kit
    if read_in is None or ahead is None or kit is None or total <= 0:
        return Foretold(False, False)
    # A motor that holds mass flow moves what its table says in thin air too.
    ratio = 1.0 if record.unit.file["blower"].get("holds") == "mass flow" else _pressure_ratio(record)
    then = _airflow(_rows(read_in, "cooling"), total / ratio)
    if then is None or then <= 0:
        return Foretold(False, False)
    flow = _meets(_rows(ahead, "heating"), total / ratio / then**2)
    if flow is None or flow <= 0:
        return Foretold(False, False)
    least = kit.get("least_airflow_in", {}).get(record.word("identity.orientation"), kit.get("least_airflow"))
    limit = record.unit.file.get("limits", {}).get("leaving_air")
    warm = current(f"heat.stage.{len(kit['stage'])}.return_air")
    back_c = float(warm["value"]) if warm else 21.0
    watts = amount(kit["power"])
    rise_k = watts / (1.08 * 3.412142**-1 / 0.4719474e-3 * 1.8 * flow * ratio)
    return Foretold(
        least is None or flow * ratio < ROOM * amount(least),
        limit is None or back_c + 0.7 * rise_k > amount(limit) + HOTTER_K,
    )


def _pressure_ratio(record: Record) -> float:
    altitude = record.values.get("identity.altitude")
    return float((1 - 2.25577e-5 * float(altitude["value"])) ** 5.2559) if altitude else 1.0


def _tier(record: Record, option: Mapping[str, Any] | None) -> Mapping[str, Any] | None:
    tiers = record.unit.file["blower"]["tier"]
    if option is None:
        return tiers[0] if len(tiers) == 1 else None
    return next((t for t in tiers if t["id"] == option.get("value")), None)


def _rows(tier: Mapping[str, Any], use: str) -> list[tuple[float, float]]:
    speed = next((s for s in tier.get("speed", ()) if s["use"] == use), None)
    if speed is None:
        return []
    static, flow, *_ = speed["units"]
    return [
        (amount(f"{r[0]} {static}"), amount(f"{r[1]} {flow}"))
        for r in speed["rows"]
        if r[1] not in ("", None)
    ]


def _airflow(rows: list[tuple[float, float]], static: float) -> float | None:
    for (low, at_low), (high, at_high) in pairwise(rows):
        if low <= static <= high:
            return at_low + (at_high - at_low) * (static - low) / (high - low)
    return None


def _meets(rows: list[tuple[float, float]], coefficient: float) -> float | None:
    for (low, at_low), (high, at_high) in pairwise(rows):
        if coefficient * at_low**2 >= low and coefficient * at_high**2 <= high:
            part, whole = 0.0, 1.0
            for _ in range(40):
                at = (part + whole) / 2
                flow = at_low + at * (at_high - at_low)
                part, whole = (at, whole) if low + at * (high - low) < coefficient * flow**2 else (part, at)
            return at_low + part * (at_high - at_low)
    return None
