"""iheatcool.com, airflow by the rise of electric heat. Seen at second hand.

No standard, government or university source with a printed answer to this was found; the formula is that of
ASHRAE Fundamentals for standard air.
"""

from __future__ import annotations

import pytest

from asleft.quantity import from_unit, to_unit
from published.printed import printed, result

pytestmark = pytest.mark.published


def test_a_heater_read_by_volts_and_amperes():
    """235 V and 75 A raise the air from 74 to 110 degF: 60 171 Btu/h, at 3.414 a watt, and 1548 cfm.

    We convert by 3.412142, so the printed answer comes out only with the source's own rounded 3.414 put in;
    with watts as they are the airflow is 0.05 % less, as the factors are.
    """
    btu_h = 235.0 * 75.0 * 3.414
    # It cuts 60 171.75 to 60 171: a whole unit of the last digit is left open.
    assert btu_h == printed("60171", units=1)
    watts = from_unit(btu_h, "heat_rate", "Btu/h")
    rise = f"{110 - 74} degF"
    assert result("airflow-from-rise", "airflow", "cfm", heater_power=f"{watts!r} W", rise=rise) == printed(
        "1548"
    )
    unrounded = result("airflow-from-rise", "airflow", "cfm", heater_power="17625 W", rise=rise)
    assert unrounded == pytest.approx(
        btu_h / 1.08 / 36 * to_unit(1.0, "heat_rate", "Btu/h") / 3.414, rel=1e-9
    )
