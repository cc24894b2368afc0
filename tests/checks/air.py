"""What the tests of the air side say again and again: fields, statics, and the demo unit told otherwise."""

from __future__ import annotations

from checks.visits import Change, say
from support import demo_unit

SUPPLY, RETURN = "blower.static.supply", "blower.static.return"
HEAT_SUPPLY, HEAT_RETURN = "heat.static.supply", "heat.static.return"
ZONE_SUPPLY, ZONE_RETURN = "blower.zone.supply", "blower.zone.return"
FAN_SUPPLY, FAN_RETURN = "blower.fan_only.supply", "blower.fan_only.return"
DESIGN = "blower.design_airflow"
CFM = 4.719474432e-4
INCH_PA = 249.08891


def least(cfm: float | None) -> dict[str, float]:
    """A kit's least airflow, in the orientation of the healthy visit."""
    return {} if cfm is None else {"upflow": cfm * CFM}


def statics(supply: str, back: str, fields: tuple[str, str] = (SUPPLY, RETURN)) -> tuple[Change, ...]:
    """Both sides, in inches of water."""
    return say(fields[0], f"{supply} inH2O"), say(fields[1], f"{back} inH2O")


NO_TOPIC = demo_unit().model_copy(
    update={"topic": tuple(t for t in demo_unit().topic if t.role != "blower-tier")}
)
