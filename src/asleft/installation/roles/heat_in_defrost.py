"""Whether the kit heats while the heat pump defrosts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import rise_from_airflow
from asleft.installation.heating_air import decided_heating
from asleft.installation.outlook import Figure, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic


def heat_in_defrost(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """On with a kit."""
    missing = reckoning.missing("identity.kit")
    pump, e = reckoning.equipment.heat_pump, reckoning.estimate

    def make(option: Option) -> Outlook:
        figures: dict[str, Figure] = {}
        heating = decided_heating(reckoning)
        if pump is not None and pump.defrost_heat is not None and heating is not None:
            drawn = pump.defrost_heat - (e.heater_power_w.value if option.value and e.heater_power_w else 0.0)
            change = rise_from_airflow(abs(drawn), heating.value, 0.0, e.altitude_m) if drawn else 0.0
            felt = e.return_air_c.value - (change if drawn > 0 else -change)
            figures["leaving_air"] = Figure("temperature", felt)
        return Outlook(topic.id, option.id, option.label, figures)

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    want = reckoning.ledger.kit is not None
    why = "A kit is fitted: rooms stay warm in defrost." if want else "No kit is fitted: off."
    return reckoning.yes_or_no(topic, outlooks, want, why)
