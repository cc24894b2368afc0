"""Whether the kit heats while the heat pump defrosts."""

from __future__ import annotations

from math import copysign
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, rise_from_airflow
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
            drawn_w = pump.defrost_heat

            def felt_c(back_c: float, heat_w: float, airflow_m3s: float) -> float:
                short_w = drawn_w - heat_w
                return back_c - copysign(
                    rise_from_airflow(abs(short_w), airflow_m3s, 0.0, e.altitude_m), short_w
                )

            heat = e.heater_power_w if option.value and e.heater_power_w else Measured(0.0, 0.0)
            figures["leaving_air"] = Figure("temperature", *combine(felt_c, e.return_air_c, heat, heating))
        return Outlook(topic.id, option.id, option.label, figures)

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    want = reckoning.ledger.kit is not None
    if not want:
        return reckoning.yes_or_no(topic, outlooks, False, "No kit is fitted: off; on would heat nothing.")
    without = {o.id for o in reckoning.ledger.options(topic) if not o.value}
    felt = next((o.figures["leaving_air"] for o in outlooks if o.option in without and o.figures), None)
    why = "A kit is fitted: rooms stay warm in defrost"
    if felt is not None:
        why += f"; without it air of {reckoning.ledger.show(felt.value, felt.kind)} blows into them"
    return reckoning.yes_or_no(topic, outlooks, True, why + ".")
