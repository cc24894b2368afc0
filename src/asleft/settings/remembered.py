"""What is remembered, as it helps in a visit; and what a visit leaves to be remembered."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from asleft.session.acts import Act, Enter, Seal
from asleft.settings.schema import IP, ROLES, SI, Settings

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Instrument
    from asleft.session.state import State
    from asleft.visit import Visit

METRIC_HZ = 50
NOTHING: Mapping[Act, str] = MappingProxyType({})


def system_of(settings: Settings, equipment: Equipment) -> str:
    """Units that a visit opens in: as the person said, else SI where every supply of the unit has 50 Hz."""
    if settings.units in (IP, SI):
        return settings.units
    frequencies = [supply.frequency for supply in equipment.supply]
    return SI if frequencies and all(f == METRIC_HZ for f in frequencies) else IP


def offers(settings: Settings, instruments: Mapping[str, Instrument]) -> Mapping[Act, str]:
    """What is offered in a visit, by the act that it is for. An instrument that is not listed is not."""
    offered: dict[Act, str] = {
        Enter("identity.technician"): settings.technician,
        Enter("identity.code"): settings.code,
        Enter("identity.altitude"): settings.altitude,
        Seal(): settings.seal_key,
    }
    for role, text in settings.instruments.items():
        listed = instruments.get(text)
        if "|" in text or (listed is not None and listed.role == role):
            offered[Enter(f"identity.instrument.{role}")] = text
    return MappingProxyType({act: text for act, text in offered.items() if text})


def own_visit(state: State, mode: str, names: tuple[str, ...]) -> bool:
    """Whether a visit is a real one in which nobody but this person has written."""
    return mode != "demo" and all(event.by in names for event in state.history)


def used(visit: Visit, since: int, settings: Settings) -> Mapping[str, str]:
    """The settings to change after a visit: instruments taken into use in it after event `since`, the key."""
    changes = {}
    for role in ROLES:
        taken = visit.view.state.instrument(role)
        if taken is None or taken.n <= since:
            continue
        listed = visit.instruments.get(taken.instrument)
        if listed is not None and listed.role == role:
            text = taken.instrument
        else:
            text = " | ".join((taken.name, ", ".join(taken.accuracy), taken.calibrated_until))
        if text.strip() != settings.instruments.get(role, ""):
            changes[f"instruments.{role}"] = text.strip()
    if visit.sealed_with and visit.sealed_with != settings.seal_key:
        changes["seal_key"] = visit.sealed_with
    return changes
