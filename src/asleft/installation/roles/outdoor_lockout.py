"""The outdoor temperature above which auxiliary heat is locked out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from asleft.installation.heat_pump import balance
from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic

ABOVE_BALANCE_K = 5.0 / 1.8
"""How far a lockout may stand above the balance point, 5 degF (IECC R403.1.2 gives the aim)."""


def outdoor_lockout(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """The lowest value offered at or above the balance point, else the highest."""
    missing = reckoning.missing("identity.outdoor", "heat.design_load", "heat.design_temperature")
    ordered = sorted(reckoning.ledger.options(topic), key=lambda o: float(o.value))
    found = balance(reckoning.ledger, reckoning.estimate)
    point = found.temperature_c if found else None
    if point is not None:
        # Binary rounding must not lift a balance point above the very value offered for it.
        on_offer = (float(o.value) for o in ordered)
        point = next((v for v in on_offer if math.isclose(v, point, abs_tol=1e-9)), point)

    starts_c = _compressor_starts_c(reckoning)

    def make(option: Option) -> Outlook:
        figures = {"lockout": Figure("temperature", float(option.value))}
        judged: list[Judged] = []
        if starts_c is not None:
            lets_go_c = float(option.value) - (topic.differential or 0.0)
            figures["lets_go"] = Figure("temperature", lets_go_c)
            figures["compressor_starts"] = Figure("temperature", starts_c)
            over = Figure("temperature_difference", _plain(lets_go_c - starts_c))
            judged.append(Judged.of("HS-11", over, 0.0, None))
        if point is not None:
            figures["balance_point"] = Figure("temperature", point)
            if reckoning.ledger.kit is not None:
                judged.append(Judged.of("HS-2", figures["lockout"], point, point + ABOVE_BALANCE_K))
            figures["above_balance"] = Figure("temperature_difference", float(option.value) - point)
        return Outlook(topic.id, option.id, option.label, figures, tuple(judged))

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    if point is None:
        why = "Without a balance point auxiliary heat is not locked out."
        return finish(topic, outlooks, ordered[-1].id, why)
    pick = next((o for o in ordered if float(o.value) >= point), ordered[-1])
    why = f"The heat pump carries the house alone down to {reckoning.ledger.show(point, 'temperature')}"
    below = next((o for o in reversed(ordered) if float(o.value) < float(pick.value)), None)
    if below is not None and float(pick.value) >= point:
        lower = reckoning.ledger.show(float(below.value), "temperature")
        why += f"; {lower} would leave it short above that line"
    why += "."
    return finish(topic, outlooks, pick.id, why)


def _compressor_starts_c(reckoning: Reckoning) -> float | None:
    """The outdoor temperature from which the compressor surely runs: its cut-out and the differential.

    The cut-out is the maker's until somebody has read the one that is set.
    """
    pump = reckoning.equipment.heat_pump
    if reckoning.ledger.pairing is None or pump is None or pump.cut_out is None:
        return None
    shown = known(reckoning.ledger, "heat.outdoor.cut_out")
    return (shown.value if shown else pump.cut_out) + (pump.cut_out_differential or 0.0)


def _plain(difference_k: float) -> float:
    """A difference without the binary rounding of two temperatures that are the same in people's units."""
    return 0.0 if math.isclose(difference_k, 0.0, abs_tol=1e-9) else difference_k
