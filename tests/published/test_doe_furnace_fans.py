"""Fits of furnace fans in DOE's technical support document, docket EERE-2014-BT-STD-0048-0098, appendix 7-C.

Q = Q0 + a ESP + b ESP^2 in cfm and in. w.c.: a and b of the baseline permanent-split-capacitor and of the
constant-airflow motor are printed, seen at second hand; Q0 is ours, so that the fan gives 1200 cfm at 0.50.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from asleft.calc import CalcError, operating_point

FITS = {"permanent-split-capacitor": (49.0, -570.0), "constant-airflow": (99.0, -103.0)}
CFM, IWC = 4.719474432e-4, 249.08891


def fit(name):
    """Give airflow in cfm as a function of static in in. w.c."""
    a, b = FITS[name]
    start = 1200 - a * 0.5 - b * 0.25
    return lambda static: start + a * static + b * static**2


@pytest.mark.own_arithmetic
@pytest.mark.parametrize(
    ("name", "supply", "back", "airflow", "static"),
    [
        ("permanent-split-capacitor", 0.30, 0.35, 1146, 0.59),
        ("constant-airflow", 0.30, 0.35, 1197, 0.65),
        ("permanent-split-capacitor", 0.95, 0.20, 997, 0.79),
        ("constant-airflow", 0.95, 0.20, 1163, 1.08),
    ],
)
def test_meets_a_harder_duct(name, supply, back, airflow, static):
    """A loaded filter or a closed damper moves the point as computed from the fit by hand."""
    statics = np.arange(0.2, 1.31, 0.05)
    answer = operating_point(
        list(statics * IWC), list(fit(name)(statics) * CFM), 1200 * CFM, (supply + back) * IWC
    )
    assert answer.airflow_m3s / CFM == pytest.approx(airflow, abs=1.5)
    assert answer.static_pa / IWC == pytest.approx(static, abs=0.006)


@pytest.mark.independent_library
@settings(deadline=None)
@given(
    st.sampled_from(sorted(FITS)),
    st.floats(0.3, 1.2),
    st.sampled_from([1.5, 1.9, 2.0, 2.2]),
    st.integers(3, 40),
)
def test_agrees_with_a_root_finder_on_the_same_table(name, system, exponent, rows):
    """scipy's brentq on numpy's interpolation finds the same point (independent implementation)."""
    statics = np.linspace(0.1, 1.3, rows)
    flows = fit(name)(statics)

    def gap(static):
        return static - system * (np.interp(static, statics, flows) / 1200) ** exponent

    if gap(0.1) * gap(1.3) > 0:
        with pytest.raises(CalcError):
            operating_point(list(statics), list(flows), 1200.0, system, exponent)
        return
    expected = brentq(gap, 0.1, 1.3, xtol=1e-14, rtol=1e-14)
    answer = operating_point(list(statics), list(flows), 1200.0, system, exponent)
    assert answer.static_pa == pytest.approx(expected, rel=1e-9)
    assert answer.airflow_m3s == pytest.approx(np.interp(expected, statics, flows), rel=1e-9)


@pytest.mark.independent_library
@settings(deadline=None)
@given(st.sampled_from(sorted(FITS)), st.floats(0.3, 1.0))
def test_a_fine_table_agrees_with_the_fit_itself(name, system):
    """With rows 0.01 apart the straight lines lie on the fit to a thousandth."""
    statics = [0.1 + row / 100 for row in range(121)]
    airflow = fit(name)
    expected = brentq(lambda static: static - system * (airflow(static) / 1200) ** 2, 0.1, 1.3)
    answer = operating_point(statics, [airflow(static) for static in statics], 1200.0, system)
    assert answer.static_pa == pytest.approx(expected, rel=1e-3)
