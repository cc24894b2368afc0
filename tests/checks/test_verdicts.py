"""Predicted or measured, a value gets the same verdict from the same limits."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.calc import Measured
from asleft.checks.about import About
from asleft.installation.outlook import Figure, Judged

NOWHERE: Any = SimpleNamespace(ledger=SimpleNamespace(system="ip"))
"""Holding a value against limits asks nothing of the visit but the units to say it in."""

VALUES = st.floats(-1e6, 1e6)
UNSURE = st.one_of(st.just(0.0), st.floats(1e-6, 1e5))


def both(value: float, expanded: float, lower: float | None, upper: float | None) -> tuple[Judged, Any]:
    """The value as the forecast judges it, and as a check does."""
    measured = About(NOWHERE, NOWHERE, "unit").hold_against(
        "Line", Measured(value, expanded), "voltage", lower, upper
    )
    return Judged.of("EL-2", Figure("voltage", value, expanded), lower, upper), measured


@pytest.mark.parametrize(
    ("value", "expanded", "verdict"),
    [
        (252.0, 0.0, "pass"),
        (216.0, 0.0, "pass"),
        (252.0, 1.8, "conditional pass"),
        (216.0, 1.8, "conditional pass"),
        (250.2, 1.8, "pass"),
        (250.3, 1.8, "conditional pass"),
        (253.8, 1.8, "conditional fail"),
        (253.9, 1.8, "fail"),
        (252.1, 0.0, "fail"),
    ],
)
def test_exactly_on_a_limit_only_a_sure_value_passes_outright(
    value: float, expanded: float, verdict: str
) -> None:
    """216 to 252 V: inside by at least U is a pass, and with U = 0 the limit itself is."""
    predicted, measured = both(value, expanded, 216.0, 252.0)
    assert (predicted.verdict, measured.verdict) == (verdict, verdict)


@given(value=VALUES, expanded=UNSURE, ends=st.tuples(VALUES, VALUES), on=st.sampled_from(["", "low", "high"]))
def test_forecast_and_checks_never_disagree(
    value: float, expanded: float, ends: tuple[float, float], on: str
) -> None:
    """Verdict and probability, one limit or two, on them and off them."""
    lower, upper = min(ends), max(ends)
    value = {"low": lower, "high": upper}.get(on, value)
    for limits in ((lower, upper), (lower, None), (None, upper)):
        predicted, measured = both(value, expanded, *limits)
        assert (predicted.verdict, predicted.probability) == (measured.verdict, measured.probability)
