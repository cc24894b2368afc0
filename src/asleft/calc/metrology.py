"""How well a reading is known, and whether that is good enough."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from asleft.calc.guards import CalcError, each, finite, not_negative, refusing, whole

COVERAGE = 2.0
"""Coverage factor k of every expanded uncertainty here, about 95 %."""

PASS = "pass"
CONDITIONAL_PASS = "conditional pass"
CONDITIONAL_FAIL = "conditional fail"
FAIL = "fail"

_WORST_FIRST = (FAIL, CONDITIONAL_FAIL, CONDITIONAL_PASS, PASS)
_ROUNDING = 1e-12


class Measured(NamedTuple):
    """A value and its expanded uncertainty U, k = 2."""

    value: float
    expanded: float


class InstrumentUncertainty(NamedTuple):
    """Limit a, standard uncertainty u = a / root 3, and expanded uncertainty U = 2 u."""

    limit: float
    standard: float
    expanded: float


class Conformity(NamedTuple):
    """Verdict, probability that the value lies within the limits, and distance inside the nearest limit."""

    verdict: str
    probability: float
    margin: float


def expanded_from_limit(limit: float) -> float:
    """Give U, k = 2, of a value that lies anywhere within plus or minus a limit.

    Formula: U = 2 a / root 3 [1]

    :param limit: a, in any one unit.
    :returns: U in that unit.

    Limits: anywhere within the limit is as likely as anywhere else.

    References:
    [1] JCGM 100:2008 (GUM), 4.3.7

    >>> round(expanded_from_limit(3.0), 4)
    3.4641
    """
    return COVERAGE * not_negative("limit", limit) / math.sqrt(3.0)


@refusing
def instrument_uncertainty(
    reading: float, percent: float, counts: float = 0.0, resolution: float = 0.0, absolute: float = 0.0
) -> InstrumentUncertainty:
    """Give the uncertainty of one reading from its instrument's accuracy statement.

    Formula: a = percent x |reading| + counts x resolution + absolute; u = a / root 3; U = 2 u [1]

    :param reading: what the instrument shows, in any one unit.
    :param percent: percent of reading, 2.5 for 2.5 %.
    :param counts: counts of the last digit.
    :param resolution: one count, in the reading's unit.
    :param absolute: a fixed part, in the reading's unit.
    :returns: limit, standard and expanded uncertainty (k = 2), in the reading's unit.

    Limits: one unit throughout; a rectangular distribution.

    References:
    [1] JCGM 100:2008 (GUM), 4.3.7

    >>> round(instrument_uncertainty(120.0, 0.7, 2, 0.1).limit, 2)
    1.04
    """
    limit = (
        not_negative("percent", percent) / 100.0 * abs(finite("reading", reading))
        + whole("counts", counts) * not_negative("resolution", resolution)
        + not_negative("absolute", absolute)
    )
    standard = limit / math.sqrt(3.0)
    return InstrumentUncertainty(limit, standard, COVERAGE * standard)


def mean_of_readings(readings: Sequence[float], instrument_standard: float = 0.0) -> Measured:
    """Give the mean of repeated readings and its expanded uncertainty, the instrument's part joined.

    Formula: u^2 = u_instrument^2 + s^2 / n; U = 2 u [1]

    :param readings: readings, in any one unit.
    :param instrument_standard: the instrument's standard uncertainty u, in that unit.
    :returns: mean and U, k = 2.

    Limits: independent readings of one quantity.

    References:
    [1] JCGM 100:2008 (GUM), 4.2.3

    >>> answer = mean_of_readings([238.1, 238.4, 238.2], 0.5)
    >>> round(answer.value, 2), round(answer.expanded, 2)
    (238.23, 1.02)
    """
    values = each("readings", readings, finite)
    not_negative("instrument_standard", instrument_standard)
    count = len(values)
    mean = math.fsum(values) / count
    scatter = 0.0
    if count > 1:
        scatter = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (count - 1) / count)
    return Measured(mean, COVERAGE * math.hypot(instrument_standard, scatter))


def combine(function: Callable[..., float], *measured: Measured) -> Measured:
    """Give a function of independent measured values, with its expanded uncertainty to first order.

    Formula: u^2 = sum (df/dx u)^2, derivatives by central differences, one-sided where one side is refused
    [1]

    :param function: what the inputs are put into.
    :param measured: the inputs with their U, each in its own unit.
    :returns: the function's value and U, k = 2.

    Limits: independent inputs, near enough to a straight line within their uncertainty.

    References:
    [1] JCGM 100:2008 (GUM), 5.1.2

    >>> power = combine(lambda volts, amps: volts * amps, Measured(240.0, 2.4), Measured(20.0, 0.4))
    >>> power.value, round(power.expanded, 2)
    (4800.0, 107.33)
    """
    values = [item.value for item in measured]
    centre = function(*values)
    parts = []
    for position, item in enumerate(measured):
        if item.expanded > 0.0:
            parts.append(_slope(function, values, position, item.expanded, centre) * item.expanded)
    return Measured(centre, math.hypot(*parts))


def _slope(
    function: Callable[..., float], values: Sequence[float], position: int, expanded: float, centre: float
) -> float:
    step = 1e-6 * max(abs(values[position]), expanded)

    def at(value: float) -> float | None:
        try:
            return function(*values[:position], value, *values[position + 1 :])
        except CalcError:
            return None

    low = values[position] - step
    high = values[position] + step
    below = at(low)
    above = at(high)
    if below is None:
        low, below = values[position], centre
    if above is None:
        high, above = values[position], centre
    return (above - below) / (high - low) if high > low else 0.0


@refusing
def conformity(
    value: float, expanded: float, lower: float | None = None, upper: float | None = None
) -> Conformity:
    """Judge a value with its expanded uncertainty against one limit or two.

    Formula: guard band U against each limit [1, 2]: pass inside by at least U; conditional pass inside or
    exactly on the limit but nearer; conditional fail outside by U or less; else fail. Probability normal
    with u = U / 2 [3]

    :param value: value, in any one unit.
    :param expanded: U, k = 2, in that unit.
    :param lower: lowest allowed, or None.
    :param upper: highest allowed, or None.
    :returns: verdict, probability of conformity, margin (positive inside the nearest limit).

    Limits: at least one limit, not crossed; the worst of two counts; without uncertainty, exactly on the
    limit passes.

    References:
    [1] ILAC-G8:09/2019, 4.2.3
    [2] ISO 14253-1
    [3] JCGM 106:2012

    >>> conformity(238.0, 1.8, 216.0, 252.0).verdict, conformity(252.0, 1.8, upper=252.0).verdict
    ('pass', 'conditional pass')
    """
    finite("value", value)
    not_negative("expanded", expanded)
    if lower is None and upper is None:
        raise CalcError("lower", "no limit given", "a lower limit, an upper limit or both")
    if lower is not None and upper is not None and finite("lower", lower) > finite("upper", upper):
        raise CalcError("lower", "the limits are crossed", "lower at most upper")
    verdict, margin = PASS, math.inf
    if lower is not None:
        verdict, margin = _judge(value - finite("lower", lower), value, expanded)
    if upper is not None:
        other, further = _judge(finite("upper", upper) - value, value, expanded)
        verdict = min(verdict, other, key=_WORST_FIRST.index)
        margin = min(margin, further)
    return Conformity(verdict, _probability(value, expanded / COVERAGE, lower, upper, margin), margin)


def _judge(margin: float, value: float, expanded: float) -> tuple[str, float]:
    """Give the verdict against one limit, and the margin: zero where only binary rounding parts the two."""
    if abs(margin) <= _ROUNDING * abs(value):
        margin = 0.0
    rounding = _ROUNDING * max(abs(value), expanded)
    if margin >= 0.0:
        return PASS if margin >= expanded - rounding else CONDITIONAL_PASS, margin
    return CONDITIONAL_FAIL if -margin <= expanded + rounding else FAIL, margin


def _probability(
    value: float, standard: float, lower: float | None, upper: float | None, margin: float
) -> float:
    if standard == 0.0:
        return 1.0 if margin >= 0.0 else 0.0
    below = above = 0.0
    if lower is not None:
        below = 0.5 * math.erfc((value - lower) / standard / math.sqrt(2.0))
    if upper is not None:
        above = 0.5 * math.erfc((upper - value) / standard / math.sqrt(2.0))
    # Limits that coincide leave nothing, less what rounding takes.
    return max(0.0, 1.0 - below - above)
