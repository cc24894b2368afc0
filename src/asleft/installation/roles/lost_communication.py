"""Whether the kit heats by itself while thermostat and unit do not hear each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic

LOST_COMMUNICATION_SHARE = 0.85
"""Share of design load a kit must cover to stand alone (ACCA Manual S, from memory)."""


def lost_communication(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """On if the kit alone carries the house and airflow and leaving air would pass, else off."""
    tier = reckoning.decided("blower-tier")
    missing = reckoning.missing(
        "identity.kit",
        "heat.design_load",
        "blower.design_airflow",
        *(() if tier else ("blower.static.supply", "blower.static.return")),
    )
    judged: tuple[Judged, ...] = ()
    heater, load = reckoning.estimate.heater_power_w, reckoning.estimate.design_load_w
    if heater is not None and load:
        share = Figure("ratio", heater.value / load, heater.expanded / load)
        judged = (Judged.of("HS-4", share, LOST_COMMUNICATION_SHARE, None),)

    def make(option: Option) -> Outlook:
        return Outlook(topic.id, option.id, option.label, {}, judged if option.value else ())

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    if reckoning.ledger.kit is None:
        return reckoning.yes_or_no(topic, outlooks, False, "No kit is fitted: off; on would heat nothing.")
    covers = bool(judged) and judged[0].passes
    part = f"{judged[0].figure.value:.0%}" if judged else "an unknown part"
    if covers and _air_proved(reckoning):
        why = f"The kit alone covers {part} of the design load; off would let the house go cold."
        return reckoning.yes_or_no(topic, outlooks, True, why)
    reason = (
        "airflow or leaving air would not pass" if covers else f"the kit alone covers {part}, less than 85 %"
    )
    return reckoning.yes_or_no(topic, outlooks, False, f"Off rather than on: {reason}.")


def _air_proved(reckoning: Reckoning) -> bool:
    """Whether airflow and leaving air of the tier decided would pass."""
    tier, tiers = reckoning.decided("blower-tier"), reckoning.role("blower-tier")
    outlook = tiers.of(tier.id) if tier and tiers else None
    if outlook is None:
        return False
    judged = [outlook.judgement(check) for check in ("HS-5", "BL-7")]
    return all(j is not None and j.passes for j in judged)
