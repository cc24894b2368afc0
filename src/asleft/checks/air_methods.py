"""Checks that hold readings of air against each other: methods of airflow, points of the ducts' curve."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import hypot, log
from typing import TYPE_CHECKING

from asleft.calc import CalcError, Measured, combine
from asleft.checks.about import About
from asleft.checks.blower import rest_on_volts
from asleft.checks.listing import check
from asleft.installation.estimate import COOLING_STATICS, HEATING_STATICS, TRAVERSE, both_sides, table_of
from asleft.session.readings import of_entry

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Tier, Use
    from asleft.installation.fans import FanTable
    from asleft.session.state import Entry

FAN_ALONE = ("blower.fan_only.supply", "blower.fan_only.return")
LEAST_EXPONENT, MOST_EXPONENT, BLURRED = 1.5, 2.2, 0.3
"""Exponents of ducts, coil and filter together; an expanded uncertainty above which none can be told."""


@dataclass(frozen=True, slots=True)
class Pair:
    """One airflow by two methods."""

    first: str
    one: Measured
    second: str
    other: Measured

    @property
    def apart(self) -> float:
        """How far they differ, of their combined uncertainty."""
        return abs(self.one.value - self.other.value) / max(
            hypot(self.one.expanded, self.other.expanded), 1e-12
        )


@check("BL-10")
def methods_agree(a: About) -> Finding:
    """Airflow by fan table, by rise and by traverse, two at a time at the same speed."""
    e, traverse = a.estimate, a.ledger.current(TRAVERSE) is not None
    if not a.ledger.kit_known:
        a.have("identity.kit")
    a.rest_on("identity.kit", "identity.altitude", shown=False)
    kit = None if a.case.heat_kept_off else a.ledger.kit
    if kit is None and not traverse:
        return a.not_applicable("Only one method can be had here: the fan table.")
    if traverse:
        a.numbers(TRAVERSE, *COOLING_STATICS)
    if kit is not None:
        last = len(kit.stage)
        rise = (f"heat.stage.{last}.return_air", f"heat.stage.{last}.leaving_air")
        a.numbers(*rise, *HEATING_STATICS)
        rest_on_volts(a)
    pairs = [
        Pair(first, one, second, other)
        for first, one, second, other in (
            ("fan table", e.heating_by_table_m3s, "rise", e.airflow_by_rise_m3s if kit else None),
            ("fan table", e.airflow_by_table_m3s, "traverse", e.airflow_by_traverse_m3s),
            ("rise", e.rise_in_cooling_m3s if kit else None, "traverse", e.airflow_by_traverse_m3s),
        )
        if one is not None and other is not None
    ]
    if not pairs:
        return a.not_measured("No two methods gave an airflow with a known uncertainty.")
    worst = max(pairs, key=lambda p: p.apart)
    both = hypot(worst.one.expanded, worst.other.expanded)
    apart = Measured(worst.one.value - worst.other.value, 0.0)
    against = a.hold_against(f"By {worst.first} less by {worst.second}", apart, "airflow", -both, both)
    text = (
        f"Airflow by {worst.first} {a.measured(worst.one, 'airflow')}, by {worst.second} "
        f"{a.measured(worst.other, 'airflow')}: they "
        f"{'agree within' if worst.apart <= 1.0 else 'differ by more than'} their combined uncertainty."
    )
    return a.finding(against.verdict, text, against=against, working=text)


@dataclass(frozen=True, slots=True)
class Point:
    """The static of the ducts at one time, and the table that gives the airflow it stood at."""

    static_pa: Measured
    table: FanTable
    entries: tuple[int, int]

    @property
    def airflow_m3s(self) -> float:
        """Its airflow by the table."""
        return self.table.airflow_at(self.static_pa.value) or 0.0

    @property
    def spanned_m3s(self) -> tuple[float, float] | None:
        """Least and most airflow by the table within the U of the static; None where it holds none."""
        p, u = self.static_pa.value, self.static_pa.expanded
        ends = [q for at in (p - u, p + u) if (q := self.table.airflow_at(at)) is not None]
        return (min(ends), max(ends)) if len(ends) == 2 else None


@check("BL-14")
def one_curve(a: About) -> Finding:
    """Exponent of the curve through two statics at two speeds.

    One blower made both airflows, so how far it is off its tables leaves their ratio; the statics count as if
    two manometers had read them, which is the larger uncertainty.
    """
    tiers = a.ledger.equipment.blower.tier
    if len(tiers) == 1 and len({id(tiers[0].at(use)) for use in ("cooling", "heating", "fan")}) == 1:
        return a.not_applicable("The blower has one speed.")
    a.rest_on(*COOLING_STATICS)
    a.rest_on("identity.altitude", shown=False)
    a.have(*COOLING_STATICS)
    found = [(exponent(*two), two) for two in combinations(_points(a), 2) if _apart(*two)]
    if not found:
        return a.not_measured(
            "Statics at a second speed are not taken yet, lie outside its table, or are too near the first."
        )
    n, two = min(found, key=lambda f: f[0].expanded)
    a.rest(*two[0].entries, *two[1].entries)
    shown = ", ".join(
        f"{a.show(p.static_pa.value, 'static_pressure')} at {a.show(p.airflow_m3s, 'airflow')}" for p in two
    )
    if n.expanded > BLURRED:
        return a.not_measured(
            f"{shown}: too near each other, the exponent is {n.value:.2f} ± {n.expanded:.2f}.",
            do="Take the statics at the speed for the fan alone too.",
        )
    return a.judge(
        "Exponent of the ducts' curve",
        n,
        "ratio",
        LEAST_EXPONENT,
        MOST_EXPONENT,
        working=shown,
        extra=f"{shown}.",
    )


def exponent(one: Point, other: Point) -> Measured:
    """n of static = k airflow^n through two points, its U from that of the statics."""

    def slope(first_pa: float, second_pa: float) -> float:
        flows = one.table.airflow_or_refuse(first_pa), other.table.airflow_or_refuse(second_pa)
        if min(*flows, first_pa, second_pa) <= 0.0 or flows[0] == flows[1]:
            raise CalcError("airflow", "does not differ between the two points", "two speeds")
        return log(first_pa / second_pa) / log(flows[0] / flows[1])

    return combine(slope, one.static_pa, other.static_pa)


def _apart(one: Point, other: Point) -> bool:
    """Whether the airflows surely differ; else the ratio of their logarithms says nothing."""
    spans = one.spanned_m3s, other.spanned_m3s
    if spans[0] is None or spans[1] is None or min(spans[0][0], spans[1][0]) <= 0.0:
        return False
    return spans[0][1] < spans[1][0] or spans[1][1] < spans[0][0]


def _points(a: About) -> Iterator[Point]:
    """Every pair of statics since the ducts were last mended: as found, as left, with heat on, fan alone."""
    yield from _in_cooling(a)
    tier = a.ledger.equipment.tier(a.estimate.tier)
    uses: tuple[tuple[Use, tuple[str, str]], ...] = (("heating", HEATING_STATICS), ("fan", FAN_ALONE))
    for use, fields in uses:
        supply, back = (a.ledger.current(f) for f in fields)
        if tier is not None and supply is not None and back is not None:
            a.rest_on(*fields)
            yield from _point(a, tier, use, supply, back)


def _in_cooling(a: About) -> Iterator[Point]:
    """The last pair of each stretch between changes, by the table of the tier that was then in force."""
    state, ledger = a.ledger.state, a.ledger
    mended = max((n for field in COOLING_STATICS for n in ledger.mended(field)), default=0)
    ends = [mended, *(n for n in ledger.changes(COOLING_STATICS[0]) if n > mended), state.last_n + 1]
    for start, end in pairwise(ends):
        last = [[e for e in state.entries.get(f, ()) if start < e.n < end][-1:] for f in COOLING_STATICS]
        tier = a.ledger.equipment.tier(_tier_before(a, end))
        if tier is not None and all(last):
            yield from _point(a, tier, "cooling", last[0][0], last[1][0])


def _tier_before(a: About, n: int) -> str | None:
    """The tier in force just before an event."""
    topic = a.ledger.equipment.role("blower-tier")
    if topic is None:
        return a.estimate.tier
    option = a.ledger.in_force(topic, before=n)
    return str(option.value) if option else None


def _point(a: About, tier: Tier, use: Use, supply: Entry, back: Entry) -> Iterator[Point]:
    """The point, if the table holds it."""
    sides = [of_entry(a.ledger, entry) for entry in (supply, back)]
    known = [k for k in sides if k is not None]
    if len(known) < 2:
        return
    total = both_sides(known[0], known[1])
    table = table_of(a.ledger, tier, use, a.estimate.pressure_ratio)
    if total.value > 0.0 and table.airflow_at(total.value):
        a.unknown |= any(k.unknown_accuracy for k in known)
        yield Point(total, table, (supply.n, back.n))
