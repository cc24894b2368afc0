"""What a single-phase blower adds to the heat in those two of three lines that it hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, radians
from typing import TYPE_CHECKING

from asleft.calc import Measured
from asleft.installation.estimate import COOLING_STATICS, HEATING_STATICS
from asleft.installation.lines import blower_in_line

if TYPE_CHECKING:
    from asleft.checks.about import About
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.readings import Known

BLOWER = "electrical.blower.current"
BEHIND = 30.0
"""Degrees from the current of three balanced lines to the voltage between two of them."""
LAG = 45.0
"""Degrees by which a blower's current lags its voltage at most: a power factor of 0.7 (common practice)."""
MORE_LOADED = (cos(radians(BEHIND)), 1.0)
LESS_LOADED = (cos(radians(BEHIND + LAG)), cos(radians(BEHIND)))
"""Parts of a single-phase blower's current that add to the heat in the two lines it hangs on, least and most.

Its current stands off that of the heat by 30 degrees less its lag in one line and by 30 degrees more in the
other; which is which hangs on the order of the phases, so the line that reads more counts as the first.
"""


@dataclass(frozen=True, slots=True)
class Drawn:
    """Current of a line without what else flows in it, known to lie between two bounds."""

    least_a: float
    most_a: float
    expanded_a: float

    def nearest(self, to_a: float) -> Measured:
        """The current that lies nearest to another within the bounds."""
        return Measured(min(max(to_a, self.least_a), self.most_a), self.expanded_a)


def on_two_of_three(a: About, kit: Heater, circuit: Circuit) -> bool:
    """Whether a circuit of three lines feeds a blower of one phase."""
    return (
        kit.phases == 3
        and circuit.feeds_blower
        and not blower_in_line(a.ledger.equipment.blower, kit, circuit)
    )


def blower_heating_amps(a: About) -> Measured:
    """The blower's current at its heating speed: as read in cooling, by the fan table's power at both."""
    (read,) = a.numbers(BLOWER)
    cooling_w, heating_w = a.estimate.fan_power_w, a.estimate.heating_fan_power_w
    if not cooling_w or not heating_w:
        return Measured(read.value, read.expanded)
    a.rest_on(*COOLING_STATICS, *HEATING_STATICS, shown=False)
    ratio = heating_w / cooling_w
    return Measured(read.value * ratio, read.expanded * ratio)


def heat_beside(l1: Known, l2: Known, blower: Measured) -> tuple[Drawn, Drawn]:
    """The heat in L1 and L2, the blower between them taken off."""
    shares = (MORE_LOADED, LESS_LOADED) if l1.value >= l2.value else (LESS_LOADED, MORE_LOADED)
    first, second = (
        Drawn(
            line.value - most * blower.value,
            line.value - least * blower.value,
            hypot(line.expanded, most * blower.expanded),
        )
        for line, (least, most) in zip((l1, l2), shares, strict=True)
    )
    return first, second
