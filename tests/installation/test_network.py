"""Networks of resistances, against numpy's solution of the same equations and against sums by hand."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.installation.lines import each_line_ohm, triangle
from asleft.installation.network import Network

EVEN = triangle((208.0, 208.0, 208.0))
LINES = (
    EVEN[0] / sqrt(3.0),
    (EVEN[0] / sqrt(3.0)) * (EVEN[1] / EVEN[0]),
    (EVEN[0] / sqrt(3.0)) * (EVEN[2] / EVEN[0]),
)


def test_two_resistances_divide_a_voltage() -> None:
    """240 V over 2 and 4 ohm: 160 V between them."""
    network = Network()
    high, low = network.hold(240 + 0j), network.hold(0j)
    middle = network.wire(high, 2.0)
    volts = network.solve({(middle, low): 1 / 4.0})
    assert volts[middle] == pytest.approx(160.0)


def test_nothing_drawn_nothing_lost() -> None:
    """Behind any wires a point has its source's volts to the last digit."""
    network = Network()
    start = network.hold(complex(119.3, 7.1))
    end = network.wire(network.wire(start, 0.0123), 0.0456)
    assert network.solve({})[end] == network.rest(start)


def test_a_wire_without_resistance_is_no_wire() -> None:
    """Its far end is its near end."""
    network = Network()
    start = network.hold(240 + 0j)
    assert network.wire(start, 0.0) == start


def test_what_nothing_reaches_floats_until_a_link_brings_it_volts() -> None:
    """No volts; with a link those of what it touches, and what hangs on it too."""
    network = Network()
    live, loose = network.hold(120 + 0j), network.loose()
    behind = network.wire(loose, 1.0)
    assert network.solve({})[behind] is None
    network.link(live, loose)
    assert network.solve({})[behind] == 120 + 0j


@pytest.mark.parametrize("open_", [None, 0, 1, 2])
def test_a_delta_draws_what_its_elements_do(open_: int | None) -> None:
    """12 A in each of three are root 3 times that in a line; with one open its two lines carry 12 A."""
    network = Network()
    points = [network.hold(v) for v in LINES]
    wires = {(points[n], points[(n + 1) % 3]): 12.0 / 208.0 for n in range(3) if n != open_}
    volts = network.solve(wires)
    amps = [0j] * 3
    for (a, b), siemens in wires.items():
        first, second = volts[a], volts[b]
        assert first is not None
        assert second is not None
        amps[a] += siemens * (first - second)
        amps[b] -= siemens * (first - second)
    expected = [12.0 * sqrt(3)] * 3
    if open_ is not None:
        expected[open_] = expected[(open_ + 1) % 3] = 12.0
    assert [abs(a) for a in amps] == pytest.approx(expected)
    assert abs(sum(amps)) < 1e-9


@pytest.mark.parametrize("phases", [1, 3])
def test_a_loop_takes_as_much_from_a_balanced_load_as_its_lines(phases: int) -> None:
    """0.1 ohm at 40 A are 4 V line to line."""
    line = each_line_ohm(0.1, phases)
    assert line * 40.0 * (2.0 if phases == 1 else sqrt(3)) == pytest.approx(4.0)


OHMS = st.floats(0.01, 50.0)


@given(
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6), OHMS), min_size=3, max_size=14),
    st.tuples(st.floats(-300, 300), st.floats(-300, 300), st.floats(-300, 300)),
)
def test_any_network_is_solved_as_numpy_solves_it(
    wires: list[tuple[int, int, float]], held: tuple[float, float, float]
) -> None:
    """Kirchhoff's current law at every point that wires reach from a source (independent implementation)."""
    network = Network()
    points = [network.hold(complex(volts, -volts / 3)) for volts in held]
    points += [network.loose() for _ in range(4)]
    for a, b, ohm in wires:
        network.join(points[a], points[b], 1.0 / ohm)
    volts = network.solve({})
    reached = {0, 1, 2}
    for _ in wires:
        reached |= {q for a, b, _ in wires for p, q in ((a, b), (b, a)) if p in reached}
    free = sorted(reached - {0, 1, 2})
    assert {n for n, v in enumerate(volts) if v is not None} == reached
    if not free:
        return
    matrix, right = np.zeros((len(free), len(free))), np.zeros(len(free), dtype=complex)
    for a, b, ohm in wires:
        for p, q in ((a, b), (b, a)):
            if p in free and a != b:
                matrix[free.index(p), free.index(p)] += 1 / ohm
                if q in free:
                    matrix[free.index(p), free.index(q)] -= 1 / ohm
                else:
                    right[free.index(p)] += complex(held[q], -held[q] / 3) / ohm
    expected = np.linalg.solve(matrix, right)
    for n, point in enumerate(free):
        assert volts[point] == pytest.approx(expected[n], rel=1e-6, abs=1e-6)
