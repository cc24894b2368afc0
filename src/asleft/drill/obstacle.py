"""What keeps an invented site from being healthy, named by the field of the equipment file."""

from __future__ import annotations

ROWS = "blower.tier.speed.rows"
WIDER = "rows over a wider span of static"
NOISE = 0.03
"""What a static may be read off by, as a fraction: more than the limit of a good manometer."""


class InTheWay(Exception):
    """Why one tried site is no good: the field of the file, what it does not allow, what would be right."""

    def __init__(self, field: str, why: str, right: str) -> None:
        self.field, self.why, self.right = field, why, right
        super().__init__(field, why, right)


_FAILED = {
    "BL-1": (
        "blower.lowest_airflow or blower.highest_airflow",
        "no tier moves an airflow between them in ducts that its fan table holds",
        "a range that holds what the fan tables move",
    ),
    "BL-5": (
        "blower.highest_static or blower.tier.highest_static",
        "no tier works well below it",
        "a limit well above the lowest statics of the fan tables, or rows at lower statics",
    ),
    "BL-7": (ROWS, "no tier comes near the airflow asked for", "rows of tiers that move different airflows"),
    "BL-11": (
        "heater.least_airflow",
        "no tier moves well more than that with heat on",
        "a least airflow below what the fan tables hold for heating, or a kit that needs less",
    ),
    "HS-5": (
        "limits.leaving_air",
        "with the kit and the heat pump on the air leaves warmer, in every tier that fits",
        "a higher limit, a smaller heater.power or fan tables that move more air",
    ),
    "TD-4": (
        "heat_pump.least_off_time",
        "every delay that the house allows is shorter",
        "an option with a longer delay, or a shorter time",
    ),
}
"""The field by which an option fails that is judged by its forecast, by check."""


def failed(check: str) -> InTheWay:
    """The obstacle where even the best option fails a check."""
    other = ("topic.option.value", f"even the best option fails {check}", "an option that passes it")
    return InTheWay(*_FAILED.get(check, other))
