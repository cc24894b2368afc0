"""How long auxiliary heat is held back, and how far the room falls meanwhile."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from asleft.calc import CalcError, delay_droop, recovery_time
from asleft.installation.heat_pump import capacity_at, shortfall_w
from asleft.installation.outlook import Figure, Judged, Outlook, TopicOutlook
from asleft.installation.reckoning import Reckoning, finish
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Topic
    from asleft.installation.estimate import Estimate
    from asleft.session.ledger import Ledger

DROOP_LIMIT_K = 2.0 / 1.8
"""How far the room may fall where the owner has not said, 2 degF (common practice)."""
SHORT_DELAY_S = 3600.0
SHORT_CAPACITY = 0.25
"""Up to an hour, air and surfaces answer first: a quarter of the tabled capacity (two-node model)."""
RECOVERY_K = 4.0 / 1.8
"""A morning set-back of 4 degF (common practice)."""
CARRIED_S = 3.0 * 3600.0
"""A recovery that takes the heat pump longer is none that it carries (common practice)."""


def auxiliary_delay(reckoning: Reckoning, topic: Topic) -> TopicOutlook:
    """The longest offered that keeps the room inside the owner's limit, else the shortest."""
    missing = reckoning.missing(
        "identity.outdoor",
        "heat.design_load",
        "heat.design_temperature",
        "delay.floor_area",
        "delay.construction",
    )
    limit = known(reckoning.ledger, "delay.droop_limit")
    limit_k = limit.value if limit else DROOP_LIMIT_K
    pump, gap = reckoning.equipment.heat_pump, reckoning.decided("stage-delay")
    differential = known(reckoning.ledger, "delay.differential")
    differential_k = differential.value if differential else 0.0

    at_lockout = _at_lockout(reckoning)
    alone_s = _alone_s(at_lockout) if at_lockout else None

    def make(option: Option) -> Outlook:
        figures = {"delay": Figure("time", float(option.value))}
        judged: list[Judged] = []
        if (droop := room_droop(reckoning.ledger, reckoning.estimate, float(option.value))) is not None:
            figures["droop"], figures["best_case"] = droop
            judged.append(Judged.of("TD-2", droop[0], None, limit_k))
        if alone_s is not None:
            figures["alone"] = Figure("time", alone_s)
            if alone_s <= CARRIED_S:
                judged.append(Judged.of("HS-18", figures["delay"], alone_s, None))
        if (energy := _recovery_energy(reckoning, at_lockout, float(option.value))) is not None:
            figures["energy"] = Figure("energy", energy)
        if pump is not None and pump.least_off_time is not None:
            judged.append(Judged.of("TD-4", figures["delay"], pump.least_off_time, None))
        to_last_s = float(option.value) + stage_gaps_s(reckoning.ledger, gap)
        whole = room_droop(reckoning.ledger, reckoning.estimate, to_last_s, differential_k)
        if whole is not None:
            judged.append(Judged.of("TD-6", whole[0], None, limit_k))
        return Outlook(topic.id, option.id, option.label, figures, tuple(judged))

    outlooks = reckoning.outlooks(topic, make)
    if missing:
        return finish(topic, outlooks, None, "", missing)
    ordered = sorted(reckoning.ledger.options(topic), key=lambda o: -float(o.value))
    by_id = {o.option: o for o in outlooks}
    pick = next((o for o in ordered if by_id[o.id].keeps("TD-2", "TD-4")), None)
    if pick is None:
        why = "None keeps the room inside the limit: the shortest."
        return finish(topic, outlooks, ordered[-1].id, why)
    fall = by_id[pick.id].figures.get("droop")
    if fall is None:
        return finish(topic, outlooks, pick.id, "The room does not depend on it here: the longest.")
    limit_shown, fall_shown = (
        reckoning.ledger.show(k, "temperature_difference") for k in (limit_k, fall.value)
    )
    why = f"The longest that keeps the room within {limit_shown}: it falls {fall_shown}"
    runner = next((by_id[o.id] for o in reversed(ordered) if float(o.value) > float(pick.value)), None)
    if runner is not None and "droop" in runner.figures:
        further = reckoning.ledger.show(runner.figures["droop"].value, "temperature_difference")
        why += f"; {runner.label} would let it fall {further}"
    why += "."
    return finish(topic, outlooks, pick.id, why)


def stage_gaps_s(ledger: Ledger, gap: Option | None) -> float:
    """How long the last stage waits for those before it: the gap between stages, once for each but one."""
    stages = len(ledger.kit.stage) if ledger.kit else 0
    return float(gap.value) * max(0, stages - 1) if gap else 0.0


def room_droop(
    ledger: Ledger, e: Estimate, delay_s: float, start_k: float = 0.0
) -> tuple[Figure, Figure] | None:
    """Fall of the room at design while heat is held back, and the best case with the whole capacity.

    `start_k` is how far it has fallen before heat is called at all. None where the house is not known, or
    what was entered for it is beyond all measure.
    """
    short = shortfall_w(ledger, e)
    if short is None or not e.heat_loss_coefficient_wk or not e.thermal_capacity_jk:
        return None
    ua, whole = e.heat_loss_coefficient_wk, e.thermal_capacity_jk
    try:
        best = delay_droop(short, ua, whole, delay_s, start_k).droop_k
        quick = delay_droop(short, ua, whole * SHORT_CAPACITY, min(delay_s, SHORT_DELAY_S), start_k).droop_k
    except CalcError:
        return None
    # A longer delay never leaves the room warmer: the first hour stands at least.
    fall = max(best, quick)
    return Figure("temperature_difference", fall), Figure("temperature_difference", best)


class _AtLockout(NamedTuple):
    """The house in the mildest weather in which auxiliary heat may run; what the heat pump has to spare."""

    ua_wk: float
    capacity_jk: float
    spare_w: float


def _at_lockout(reckoning: Reckoning) -> _AtLockout | None:
    e, lockout = reckoning.estimate, reckoning.decided("outdoor-lockout")
    ua, capacity = e.heat_loss_coefficient_wk, e.thermal_capacity_jk
    if lockout is None or not ua or not capacity:
        return None
    outdoor_c = float(lockout.value)
    carried = capacity_at(reckoning.ledger, outdoor_c)
    if carried is None:
        return None
    return _AtLockout(ua, capacity, carried - ua * (e.zero_load_c - outdoor_c))


def _alone_s(at: _AtLockout) -> float | None:
    """How long the heat pump alone takes to end a recovery at the lockout temperature; None for never."""
    ua, capacity, spare = at
    # The house asks for less while it is colder.
    surplus = spare + ua * RECOVERY_K
    return recovery_time(surplus, ua, capacity, RECOVERY_K) if surplus > 0.0 else None


def _recovery_energy(reckoning: Reckoning, at: _AtLockout | None, delay_s: float) -> float | None:
    """Auxiliary energy of a morning recovery at the lockout temperature, J; None where it is not known.

    The heat pump alone brings back what it can during the delay, then the kit helps.
    """
    heater = reckoning.estimate.heater_power_w
    if heater is None or at is None:
        return None
    ua, capacity, spare = at
    fallen = (RECOVERY_K + spare / ua) * math.exp(-delay_s * ua / capacity) - spare / ua
    if fallen <= 0.0:
        return 0.0
    surplus = heater.value + spare + ua * fallen
    time = recovery_time(surplus, ua, capacity, fallen) if surplus > 0.0 else None
    return None if time is None else heater.value * time
