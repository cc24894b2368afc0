"""Two or three lines: voltages of their pairs, and what one of them is of a loop."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.equipment.model import Blower, Circuit, Heater

PAIRS = ("l1_l2", "l2_l3", "l3_l1")
"""Pairs of lines, in the order in which their voltages are given."""

Phasors = tuple[complex, ...]


def triangle(volts: Sequence[float]) -> Phasors:
    """Line-to-line voltages as phasors, the first along the real axis; three of them close a triangle.

    Three magnitudes that close no triangle are taken as flat.
    """
    if len(volts) == 1:
        return (complex(volts[0]),)
    first, second, third = volts
    if first <= 0.0 or second <= 0.0:
        return (complex(first), 0j, complex(-first))
    cosine = (third**2 - first**2 - second**2) / (2.0 * first * second)
    turned = cmath.rect(second, -math.acos(min(1.0, max(-1.0, cosine))))
    return (complex(first), turned, -(first + turned))


def each_line_ohm(loop_ohm: float, phases: int) -> float:
    """Resistance of one line, of which a balanced load of so many phases sees `loop_ohm` line to line."""
    return loop_ohm / (2.0 if phases == 1 else math.sqrt(3.0))


def blower_in_line(blower: Blower, kit: Heater, circuit: Circuit) -> bool:
    """Whether the line in which a stage's current is read carries the blower too.

    On three phases it is read in the line that does not feed a single-phase blower.
    """
    return circuit.feeds_blower and blower.phases == kit.phases
