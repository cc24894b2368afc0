"""The unit left to its control: what it senses, what the heat pump does, and when auxiliary heat may help."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.heat_pump import capacity_line

if TYPE_CHECKING:
    from asleft.equipment.model import Pairing
    from asleft.installation.moment import Moment

Truths = dict[str, float | bool | str]


def outdoors_and_room(now: Moment) -> Truths:
    """What the control shows of the weather and of the room, each beside a reference."""
    found: Truths = {}
    if now.equipment.heat_pump is not None:
        found["heat.outdoor.reference"] = now.truth.outdoors.air_c
        found["heat.outdoor.shown"] = now.truth.outdoors.air_c + now.truth.outdoors.sensor_off_k
        cut_out_c = _cut_out_c(now)
        if cut_out_c is not None:
            found["heat.outdoor.cut_out"] = cut_out_c
    listens = now.option("room-sensor")
    off_k = now.truth.control.sensors_off_k.get(str(listens.value), 0.0) if listens else 0.0
    found["heat.room.reference"] = now.truth.return_air_c
    found["heat.room.shown"] = now.truth.return_air_c + off_k
    return found


def heat_pump_alone(now: Moment) -> Truths:
    """Heating called, auxiliary heat held back: the heat pump warms the air, or cools it."""
    pairing = _pairing(now)
    if pairing is None:
        return {}
    air, back_c = now.air("heating"), now.truth.return_air_c
    watts = max(0.0, capacity_line(pairing)(now.truth.outdoors.air_c)) if _compressor(now) else 0.0
    # The capacities that makers print have the blower's own heat in them.
    rise_k = now.rise_k(watts or air.power_w, air)
    if now.truth.outdoors.valve_reversed and watts:
        rise_k = -rise_k
    # An element that nobody calls, its relay welded or its coil on the frame, warms the same air.
    rise_k += now.rise_k(now.called((), air).heat_w, air)
    return {"heat.heat_pump.return_air": back_c, "heat.heat_pump.leaving_air": back_c + rise_k}


def left_to_itself(now: Moment) -> Truths:
    """Heating called for longer than the delay: what comes on by the control's own decision."""
    found: Truths = {}
    if _pairing(now) is not None:
        found["heat.ordinary.compressor"] = _compressor(now)
    if now.kit is not None:
        on = now.on(range(1, len(now.kit.stage) + 1))
        found["heat.ordinary.auxiliary"] = bool(on) and _auxiliary_may(now)
    return found


def _pairing(now: Moment) -> Pairing | None:
    pump = now.equipment.heat_pump
    if pump is None or not pump.pairing:
        return None
    return now.equipment.pairing(now.truth.outdoors.pairing) or pump.pairing[0]


def _cut_out_c(now: Moment) -> float | None:
    pump, set_c = now.equipment.heat_pump, now.truth.outdoors.cut_out_c
    return set_c if set_c is not None or pump is None else pump.cut_out


def _compressor(now: Moment) -> bool:
    cut_out_c = _cut_out_c(now)
    warm = cut_out_c is None or now.truth.outdoors.air_c >= cut_out_c
    return warm and now.circuits.alive


def _auxiliary_may(now: Moment) -> bool:
    """Whether the control believes that it is cold enough outside."""
    lockout = now.option("outdoor-lockout")
    shown_c = now.truth.outdoors.air_c + now.truth.outdoors.sensor_off_k
    return lockout is None or shown_c < float(lockout.value)
