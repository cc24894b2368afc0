"""Blower tiers that nobody can choose, or that no duct could need."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import inf

from asleft.equipment.blower import Blower, FanRow, Tier, Use
from asleft.equipment.errors import Complaint, Path, described
from asleft.equipment.model import Equipment
from asleft.equipment.nodes import Node

_USES: tuple[Use, ...] = ("cooling", "heating", "fan")


def odd_tiers(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    """Warn of tiers without a choice between them, without an option, or no better than another."""
    del root  # ids and labels are all that is said, and the model keeps them as written
    tiers, topic = equipment.blower.tier, equipment.role("blower-tier")
    if topic is None and len(tiers) > 1:
        yield Complaint(
            _path(1),
            f"{len(tiers)} tiers and no topic that chooses between them, so that the first is always taken",
            'a topic of role "blower-tier", or the one tier that the unit is set to',
        )
    meant = {option.value for option in topic.option} if topic else set()
    for number, tier in enumerate(tiers):
        if topic is not None and tier.id not in meant:
            yield Complaint(
                (*_path(number), "id"),
                f"{described(tier.id)}, which no option of topic {described(topic.id)} means",
                "an option with it as its value, or no such tier",
            )
        better = next(_better(equipment.blower, number), None)
        if better is not None:
            yield Complaint(
                (*_path(number), "id"),
                f"{described(tier.id)}, which at no static moves more air than {described(better.id)} "
                "or takes less power",
                "a fan table of its own, or one tier for both",
            )


def _path(number: int) -> Path:
    return ("blower", "tier", number)


def _better(blower: Blower, number: int) -> Iterator[Tier]:
    """Tiers in whose stead nobody would take this one; of two alike the first is worth keeping."""
    tier = blower.tier[number]
    for place, other in enumerate(blower.tier):
        alike = place > number and _beats(blower, tier, other)
        if place != number and not alike and _beats(blower, other, tier):
            yield other


def _beats(blower: Blower, other: Tier, tier: Tier) -> bool:
    """Whether the other tier does all that this one does."""
    if (
        other.rated_static is not None
        and tier.rated_static is not None
        and other.rated_static < tier.rated_static
    ):
        return False
    highest = _highest(blower, tier)
    if _highest(blower, other) < highest:
        return False
    uses = [use for use in _USES if use in {s.use for t in (tier, other) for s in t.speed}]
    return all(_covers(other.at(use).rows, tier.at(use).rows, highest) for use in uses)


def _highest(blower: Blower, tier: Tier) -> float:
    return next((s for s in (tier.highest_static, blower.highest_static) if s is not None), inf)


def _covers(others: tuple[FanRow, ...], rows: tuple[FanRow, ...], highest: float) -> bool:
    """Whether at every static of these rows the other rows hold as much air, and power no higher."""
    moving = [row for row in rows if row.airflow_m3s is not None]
    needed = [row for row in moving if row.static_pa <= highest] or moving
    return bool(needed) and all(_no_less(others, row) and _no_dearer(others, row) for row in needed)


def _no_less(others: tuple[FanRow, ...], row: FanRow) -> bool:
    airflow = _at([(o.static_pa, o.airflow_m3s) for o in others], row.static_pa)
    return airflow is not None and row.airflow_m3s is not None and airflow >= row.airflow_m3s


def _no_dearer(others: tuple[FanRow, ...], row: FanRow) -> bool:
    """A blank power is not better than any figure, and only as good as another blank."""
    power = _at([(o.static_pa, o.power_w) for o in others], row.static_pa)
    if power is None or row.power_w is None:
        return power is None and row.power_w is None and _no_more_air(others, row)
    return power <= row.power_w


def _no_more_air(others: tuple[FanRow, ...], row: FanRow) -> bool:
    """Without powers only the same airflow tells that two tiers are alike."""
    return _at([(o.static_pa, o.airflow_m3s) for o in others], row.static_pa) == row.airflow_m3s


def _at(points: list[tuple[float, float | None]], static_pa: float) -> float | None:
    """A column at a static, straight between its filled cells; None outside them."""
    filled = [(static, value) for static, value in points if value is not None]
    for static, value in filled:
        if static == static_pa:
            return value
    for (low, before), (high, after) in pairwise(filled):
        if low < static_pa < high:
            return before + (after - before) * (static_pa - low) / (high - low)
    return None
