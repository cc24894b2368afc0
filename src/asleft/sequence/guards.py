"""Which guarded acts a thing is: taking a field, writing a setting, switching power, signing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.session.fields import DEAD

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Setting
    from asleft.session.fields import Field
    from asleft.session.ledger import Ledger

LIVE = "live readings"
ISOLATED = "recording isolation"
HANDS = "hands inside"
POWER_ON = "power on"
LOADS = "loads on"
ENERGISING = "energising heat"
ENABLING = "enabling heat"
COMMISSIONED = "signing as commissioned"
NOT_COMMISSIONED = "signing as not commissioned"

HEAT_ROLES = frozenset({"auxiliary-heat", "heat-in-defrost", "heat-on-lost-communication"})


def acts_of_field(field: Field) -> tuple[str, ...]:
    """The acts that taking a field is, from the state it is taken in and what takes it.

    What proves a unit dead is read as if it were live: hands go in only after it.
    """
    if field.state == DEAD:
        return (LIVE,)
    if field.state == "isolated":
        return (LIVE,) if field.kind == "voltage" else (HANDS,)
    acts: list[str] = []
    if field.instrument in ("meter", "clamp") and field.state:
        acts.append(LIVE)
    if field.state in ("blower", "heat_pump"):
        acts.append(LOADS)
    elif field.state.partition(".")[0] in ("heat", "after", "defrost", "ordinary"):
        acts.extend((LOADS, ENERGISING, ENABLING))
    return tuple(acts)


def power_of_field(field: Field) -> str:
    """The power state a field is taken in: "on", "off", or "" where it does not matter."""
    if not field.state:
        return ""
    return "off" if field.state in (DEAD, "isolated") else "on"


def acts_of_write(ledger: Ledger, setting_id: str, value: str) -> tuple[str, ...]:
    """The acts that writing a value is: hands inside with power off, enabling heat where it allows it.

    What the write resets is judged with it, as the factory left it.
    """
    setting = ledger.equipment.setting_of(setting_id)
    acts: list[str] = []
    if setting and setting.power == "off":
        acts.append(HANDS)
    left = {setting_id: value, **(_reset_to(ledger, setting) if setting else {})}
    if any(_allows_heat(ledger, id, left) for id in left):
        acts.append(ENABLING)
    return tuple(acts)


def _reset_to(ledger: Ledger, setting: Setting) -> dict[str, str]:
    """The factory values that a write puts other settings back to, where they hold something else."""
    return {
        other.id: other.factory
        for address in setting.address
        for other, at in ledger.equipment.reset_by(setting, address)
        if other.factory is not None and ledger.held(other.id, at) != other.factory
    }


def _allows_heat(ledger: Ledger, setting_id: str, left: Mapping[str, str]) -> bool:
    """Whether the value that a setting is left at allows heat, with the others that the write leaves."""
    value = left[setting_id]
    return any(
        any(
            bool(option.value)
            and option.set.get(setting_id) == value
            and _differs_from_off(topic.option, option, setting_id)
            for option in topic.option
        )
        and not _still_off(ledger, topic.option, left)
        for topic in ledger.equipment.topic
        if topic.role in HEAT_ROLES
    )


def _still_off(ledger: Ledger, options: tuple[Option, ...], left: Mapping[str, str]) -> bool:
    """Whether, with these values left, the control is known to keep heat off by another setting."""

    def stands(option: Option) -> bool:
        return all(
            meant == (left[id] if id in left else _surely_holds(ledger, id))
            for id, meant in option.set.items()
        )

    return any(stands(o) for o in options if not o.value) and not any(stands(o) for o in options if o.value)


def _surely_holds(ledger: Ledger, setting_id: str) -> str | None:
    """What a setting is known to hold; None where a later write may have moved it.

    What is cleared goes back to its factory value: one that held that holds it still.
    """
    setting, seen = ledger.equipment.setting_of(setting_id), ledger.holds(setting_id)
    if setting is None or seen == setting.factory:
        return seen
    return None if any(ledger.unsure(setting_id, address) for address in setting.address) else seen


def _differs_from_off(options: tuple[Option, ...], on: Option, setting_id: str) -> bool:
    """A value that the off option carries too does not allow heat by itself."""
    off = [o.set.get(setting_id) for o in options if not o.value and (o.when == on.when or not o.when.kit)]
    return on.set[setting_id] not in off
