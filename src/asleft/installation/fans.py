"""A fan table at a site's air pressure: what airflow at what static, and what power."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.calc import CalcError, OperatingPoint, meet_system

if TYPE_CHECKING:
    from asleft.equipment.model import Blower, Heater, Tier, Use


def _outside_taps_pa(blower: Blower, kit: Heater | None) -> float:
    """Drops that neither the taps span nor the fan table holds: the kit's."""
    if kit is None or kit.pressure_drop is None or "kit" in blower.includes:
        return 0.0
    return kit.pressure_drop


@dataclass(frozen=True, slots=True)
class FanTable:
    """Rows of one speed, straight lines between them, never carried on beyond them.

    A sea-level table is entered with static x p0/p and its airflow is the actual volume; only for a motor
    that holds mass flow the actual volume is the table's x p0/p. `ratio` is p/p0. Where the table leaves out
    what the taps do not span, it is entered with the measured static plus that drop.
    """

    static_pa: tuple[float, ...]
    airflow_m3s: tuple[float, ...]
    power_static_pa: tuple[float, ...]
    power_w: tuple[float, ...]
    ratio: float
    volume: float

    @classmethod
    def of(cls, tier: Tier, use: Use, blower: Blower, kit: Heater | None, ratio: float) -> FanTable:
        """The table of a tier for a use by the static that the taps see, blank cells left out."""
        speed, outside_pa = tier.at(use), _outside_taps_pa(blower, kit)
        rows = [r for r in speed.rows if r.airflow_m3s is not None]
        powers = [r for r in speed.rows if r.power_w is not None]
        thin = ratio if blower.basis == "standard" else 1.0
        unseen = outside_pa / thin
        return cls(
            tuple(r.static_pa - unseen for r in rows),
            tuple(float(r.airflow_m3s or 0.0) for r in rows),
            tuple(r.static_pa - unseen for r in powers),
            tuple(float(r.power_w or 0.0) for r in powers),
            thin,
            1.0 / thin if blower.holds == "mass flow" else 1.0,
        )

    def behind(self, drop_pa: float) -> FanTable:
        """The table by the static that is left where a drop that keeps its size stands before it."""
        lost = drop_pa / self.ratio
        return replace(
            self,
            static_pa=tuple(p - lost for p in self.static_pa),
            power_static_pa=tuple(p - lost for p in self.power_static_pa),
        )

    def airflow_at(self, static_pa: float) -> float | None:
        """Actual airflow at a static measured here; None outside the table."""
        found = _between(self.static_pa, self.airflow_m3s, static_pa / self.ratio)
        return None if found is None else found * self.volume

    def airflow_or_refuse(self, static_pa: float) -> float:
        """As airflow_at, but refusing a static outside the table."""
        found = self.airflow_at(static_pa)
        if found is None:
            raise CalcError("static", "is outside the fan table", "a static that the table holds")
        return found

    def slope_at(self, static_pa: float) -> float:
        """Airflow gained for each Pa of static measured here; in a row the mean of the pieces beside it.

        That of the outermost piece at an end of the table, which rounding may put a static just beyond.
        """
        xs, ys, x = self.static_pa, self.airflow_m3s, static_pa / self.ratio
        beside = [min(max(row, 1), len(xs) - 1) for row in (bisect_left(xs, x), bisect_right(xs, x))]
        slopes = [(ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1]) for i in beside]
        return sum(slopes) / 2.0 * self.volume / self.ratio

    def power_or_refuse(self, static_pa: float) -> float:
        """As power_at, but refusing a static outside the table."""
        found = self.power_at(static_pa)
        if found is None:
            raise CalcError("static", "is outside the fan table", "a static that the table holds")
        return found

    def power_at(self, static_pa: float) -> float | None:
        """Electric power at a static measured here, thin air taking less; None outside the table."""
        found = _between(self.power_static_pa, self.power_w, static_pa / self.ratio)
        return None if found is None else found * self.ratio

    def meets(self, coefficient: float, exponent: float = 2.0) -> OperatingPoint | None:
        """Where it meets static = coefficient x airflow^exponent, actual volumes; None off the table."""
        if len(self.static_pa) < 2:
            return None
        static = tuple(s * self.ratio for s in self.static_pa)
        airflow = tuple(q * self.volume for q in self.airflow_m3s)
        return meet_system(static, airflow, coefficient, exponent)


def _between(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float | None:
    if not xs or not xs[0] <= x <= xs[-1]:
        return None
    i = min(max(bisect_right(xs, x) - 1, 0), len(xs) - 2)
    if len(xs) == 1:
        return ys[0]
    return ys[i] + (ys[i + 1] - ys[i]) * (x - xs[i]) / (xs[i + 1] - xs[i])
