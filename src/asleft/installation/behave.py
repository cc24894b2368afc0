"""The physics of an installed unit: what every measured field would truly read in a given state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.circuits import LEGS, Feed
from asleft.installation.dead import isolated, proved_dead
from asleft.installation.in_force import Settings, option_in_force
from asleft.installation.line_fields import PANEL, stage_amps
from asleft.installation.lines import PAIRS
from asleft.installation.moment import Moment
from asleft.installation.more_air import more_air
from asleft.installation.probes import Truth, as_shown
from asleft.installation.tried import forced_calls, forced_defrost
from asleft.installation.weather import heat_pump_alone, left_to_itself, outdoors_and_room
from asleft.installation.while_hot import minutes_of_heat

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation

__all__ = ["Settings", "Truth", "behave", "option_in_force"]


def behave(
    installation: Installation, equipment: Equipment, settings: Settings, state: str
) -> dict[str, Truth]:
    """True values by field id of every measured field taken in this state; `settings` are those in force.

    What comes between the truth and an instrument is in them.
    """
    found = _behave(installation, equipment, settings, state)
    return as_shown(found, installation.probes)


def _behave(
    installation: Installation, equipment: Equipment, settings: Settings, state: str
) -> dict[str, Truth]:
    now = Moment(installation, equipment, settings)
    match state.partition("."):
        case ("dead", _, _):
            return proved_dead(now)
        case ("isolated", _, _):
            return isolated(now)
        case ("idle", _, _):
            return {**_idle(now), **outdoors_and_room(now)}
        case ("blower", _, _):
            return _blowing(now)
        case ("heat", _, "all"):
            return _all_heat(now) if now.kit else {}
        case ("heat", _, upto):
            return _heating(now, int(upto)) if now.kit else {}
        case ("after", _, seconds):
            return minutes_of_heat(now, float(seconds)) if now.kit else {}
        case ("heat_pump", _, _):
            return heat_pump_alone(now)
        case ("defrost", _, _):
            return forced_defrost(now) if now.kit else {}
        case ("ordinary", _, _):
            return left_to_itself(now)
        case _:
            return {}


def _idle(now: Moment) -> dict[str, Truth]:
    """Power on, nothing called."""
    circuits = now.circuits
    resting, main, home = circuits.resting, circuits.main, circuits.home
    found: dict[str, Truth] = {
        **_pairs("electrical.line.", resting.feeds[main], len(circuits.told)),
        "electrical.control.idle": now.control_v(resting.feeds[home].pairs_v[0], called=False),
        "blower.ready.filter_in": True,
        "blower.ready.panels_on": True,
        "blower.ready.registers_open": True,
        "blower.ready.coil": "dry",
        "blower.open_port": now.truth.probes.zero_pa,
    }
    to_ground = resting.feeds[main].ground_v
    for n, leg in enumerate(LEGS):
        volts = to_ground[n] if n < len(to_ground) else circuits.leg_told(n)
        found[f"electrical.line.{leg}_ground"] = volts
    for name in _numbers(now):
        feed = resting.feeds[name]
        standby = now.truth.standby_a if name == home and circuits.alive else 0.0
        for leg, amps in zip(LEGS[: circuits.legs()], feed.lines_a, strict=False):
            fed = leg != "l3" or now.equipment.blower.phases == 3
            found[f"electrical.circuit.{name}.no_call.{leg}"] = amps + (standby if fed else 0.0)
        found |= _pairs(f"electrical.circuit.{name}.line.", feed, len(feed.pairs_v))
        found |= _grounds(f"electrical.circuit.{name}.line.", feed)
    return found


def _blowing(now: Moment) -> dict[str, Truth]:
    """Blower at its cooling speed, no heat."""
    air, home = now.air("cooling"), now.circuits.resting.feeds[now.circuits.home]
    supply, back = now.statics(air)
    return {
        "electrical.blower.current": now.blower_a(air, home.pairs_v[0]),
        "blower.static.supply": supply,
        "blower.static.return": back,
        **more_air(now),
    }


def _heating(now: Moment, upto: int) -> dict[str, Truth]:
    """Stages 1 to `upto` called; the blower at its heating speed, the heat pump off."""
    assert now.kit is not None
    air = now.air("heating")
    flow = now.called(range(1, upto + 1), air)
    stage = now.kit.stage[upto - 1].id
    numbered = enumerate(now.kit.circuit, 1)
    home = next((str(n) for n, c in numbered if stage in c.stages), now.circuits.main)
    feed, phases = flow.feeds[home], now.kit.phases
    names = ("voltage", *PAIRS[1:])[: 3 if phases == 3 else 1]
    read = stage_amps(now.kit, upto)
    lines_a = feed.lines_a[now.circuits.legs() - len(read) :] if now.kit.circuit else (0.0,) * len(read)
    return {
        **{f"electrical.stage.{upto}.{at}": v for at, v in zip(names, feed.pairs_v, strict=False)},
        **dict(zip(read, lines_a, strict=False)),
        f"heat.stage.{upto}.return_air": now.truth.return_air_c,
        f"heat.stage.{upto}.leaving_air": now.leaving_c(flow.heat_w, air),
    }


def _all_heat(now: Moment) -> dict[str, Truth]:
    """Everything called."""
    assert now.kit is not None
    circuits, every = now.circuits, range(1, len(now.kit.stage) + 1)
    air = now.air("heating")
    flow = now.called(every, air)
    supply, back = now.statics(air)
    found: dict[str, Truth] = {
        **_pairs("electrical.loaded.", flow.feeds[circuits.main], len(PAIRS)),
        **_grounds("electrical.loaded.", flow.feeds[circuits.main]),
        **{PANEL + pair: volts for pair, volts in zip(PAIRS, flow.panel_v, strict=False)},
        "electrical.control.loaded": now.control_v(flow.feeds[circuits.home].pairs_v[0], called=True),
        "heat.static.supply": supply,
        "heat.static.return": back,
    }
    for n in _numbers(now):
        feed = flow.feeds[n]
        for leg, amps, volts in zip(LEGS[: circuits.legs()], feed.lines_a, feed.joint_v, strict=False):
            found[f"electrical.circuit.{n}.called.{leg}"] = amps
            found[f"electrical.circuit.{n}.joint.{leg}"] = volts
        found[f"electrical.circuit.{n}.called.both"] = feed.leak_a
        found |= _pairs(f"electrical.circuit.{n}.loaded.", feed, len(feed.pairs_v))
        found |= _grounds(f"electrical.circuit.{n}.loaded.", feed)
    return {**found, **forced_calls(now)}


def _numbers(now: Moment) -> tuple[str, ...]:
    """The kit's circuits."""
    return tuple(str(n) for n, _ in enumerate(now.kit.circuit if now.kit else (), 1))


def _pairs(begin: str, feed: Feed, count: int) -> dict[str, Truth]:
    return {begin + pair: volts for pair, volts in zip(PAIRS[:count], feed.pairs_v, strict=False)}


def _grounds(begin: str, feed: Feed) -> dict[str, Truth]:
    return {f"{begin}{leg}_ground": volts for leg, volts in zip(LEGS, feed.ground_v, strict=False)}
