"""What every option on offer would do at this unit, which one is recommended, and why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.installation import heating_air
from asleft.installation.heat_pump import OVERSIZE, capacity_at, shortfall_w
from asleft.installation.outlook import Forecast
from asleft.installation.reckoning import Reckon, Reckoning
from asleft.installation.roles.as_found import as_found
from asleft.installation.roles.auxiliary_delay import SHORT_CAPACITY, SHORT_DELAY_S, auxiliary_delay
from asleft.installation.roles.auxiliary_heat import auxiliary_heat
from asleft.installation.roles.blower_run_on import blower_run_on
from asleft.installation.roles.blower_tier import DESIGN_TOLERANCE, blower_tier
from asleft.installation.roles.heat_in_defrost import heat_in_defrost
from asleft.installation.roles.lost_communication import lost_communication
from asleft.installation.roles.outdoor_lockout import outdoor_lockout

if TYPE_CHECKING:
    from asleft.calc import Measured
    from asleft.equipment.model import Role
    from asleft.installation.estimate import Estimate
    from asleft.session.ledger import Ledger

__all__ = [
    "DESIGN_TOLERANCE",
    "OVERSIZE",
    "ROLES",
    "SHORT_CAPACITY",
    "SHORT_DELAY_S",
    "capacity_at",
    "forecast",
    "pump_rise",
    "shortfall_w",
]

ROLES: Mapping[Role, Reckon] = {
    "blower-tier": blower_tier,
    "auxiliary-heat": auxiliary_heat,
    "outdoor-lockout": outdoor_lockout,
    "auxiliary-delay": auxiliary_delay,
    "heat-in-defrost": heat_in_defrost,
    "heat-on-lost-communication": lost_communication,
    "blower-run-on": blower_run_on,
    "other": as_found,
}
"""How each role's topics are reckoned; a role that is not listed is reckoned as `other`."""


def forecast(ledger: Ledger, estimate: Estimate) -> Forecast:
    """The outlook of every topic, in file order; those that others rest on are reckoned first."""
    reckoning = Reckoning(ledger, estimate, ROLES)
    return Forecast({topic.id: reckoning.topic(topic) for topic in ledger.equipment.topic})


def pump_rise(ledger: Ledger, estimate: Estimate, heating: Measured) -> Measured:
    """Rise that the heat pump adds to a heating airflow at the lockout temperature decided, K."""
    return heating_air.pump_rise(Reckoning(ledger, estimate, ROLES), heating)
