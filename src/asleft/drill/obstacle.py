"""What keeps an invented site from being healthy, named by the field of the equipment file."""

from __future__ import annotations

LIMIT = {
    "BL-1": "blower.lowest_airflow or blower.highest_airflow",
    "BL-5": "blower.tier.highest_static",
    "BL-7": "blower.tier.speed.rows",
    "BL-11": "heater.least_airflow",
    "HS-5": "limits.leaving_air",
    "TD-4": "heat_pump.least_off_time",
    "TD-6": "topic.option.value",
}
"""The field that a forecast option fails by, by check."""


class InTheWay(Exception):
    """One reason why one tried site is no good: the field of the file, and what it does not allow."""

    def __init__(self, field: str, why: str) -> None:
        self.field = field
        self.why = why
        super().__init__(field, why)
