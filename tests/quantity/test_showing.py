"""Quantities as shown."""

from __future__ import annotations

import math

import pytest

from asleft.quantity import QuantityError, show


@pytest.mark.parametrize(
    ("value", "kind", "ip", "si"),
    [
        (129.526, "static_pressure", "0.52 in. w.c.", "130 Pa"),
        (0.566337, "airflow", "1200 cfm", "566 L/s"),
        (21.111, "temperature", "70.0 °F", "21.1 °C"),
        (1.0, "temperature_difference", "1.8 °F", "1.0 K"),
        (238.24, "voltage", "238.2 V", "238.2 V"),
        (9600.0, "electric_power", "9.60 kW", "9.60 kW"),
        (10550.56, "heat_rate", "36000 Btu/h", "10.55 kW"),
        (660.0, "time", "11.0 min", "11.0 min"),
        (2.0, "count", "2", "2"),
        (-0.001, "static_pressure", "0.00 in. w.c.", "0 Pa"),
    ],
)
def test_shows_either_system(value, kind, ip, si):
    """Each kind has its usual digits in either system, and no minus stands before a zero."""
    assert show(value, kind) == ip
    assert show(value, kind, "si") == si


def test_unit_and_digits_can_be_chosen():
    """A caller may leave the unit out and ask for other digits."""
    assert show(129.526, "static_pressure", unit=False) == "0.52"
    assert show(129.526, "static_pressure", digits=3) == "0.520 in. w.c."


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_not_shown(value):
    """A value that is not finite is a fault upstream, not a thing to print."""
    with pytest.raises(QuantityError):
        show(value, "voltage")
