"""Which stages of the kit are enabled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.heating_air import decided_heating, heating_judged, leaving
from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic


def auxiliary_heat(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """Every stage of the kit fitted, else off."""
    kit = reckoning.ledger.kit
    missing = reckoning.missing("identity.kit", "identity.supply", "identity.orientation")
    heating = decided_heating(reckoning)

    def share(option: Option) -> float:
        return sum(s.power for s in kit.stage if s.id in option.value) / kit.power if kit else 0.0

    def make(option: Option) -> Outlook:
        part = share(option)
        figures: dict[str, Figure] = {}
        heater = reckoning.estimate.heater_power_w
        if heater is not None:
            figures["heat"] = Figure("electric_power", heater.value * part, heater.expanded * part)
        if (heat := leaving(reckoning, heating, part)) is not None:
            figures["rise"], figures["leaving_air"] = heat
        judged: tuple[Judged, ...] = ()
        if kit is not None and option.value and heating is not None:
            judged = heating_judged(reckoning, kit, Figure("airflow", *heating), figures.get("leaving_air"))
        return Outlook(topic.id, option.id, option.label, figures, judged)

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    wanted = tuple(s.id for s in kit.stage) if kit else ()
    pick = next((o for o in reckoning.ledger.options(topic) if set(o.value) == set(wanted)), None)
    if pick is None:
        return finish(topic, outlooks, None, f"No option enables the stages {', '.join(wanted)}.")
    why = f"{kit.label} is fitted: every stage of it" if kit else "No kit is fitted: off"
    others = [o for o in reckoning.ledger.options(topic) if o.id != pick.id]
    if others:
        runner = max(others, key=share)
        why += f"; {runner.label} would "
        why += f"give {share(runner):.0%} of its heat" if kit else "call heat that is not there"
    return finish(topic, outlooks, pick.id, why + ".")
