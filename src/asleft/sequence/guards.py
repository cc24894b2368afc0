"""Which guarded acts a thing is: taking a field, writing a setting, switching power, signing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.session.fields import DEAD

if TYPE_CHECKING:
    from asleft.equipment.model import Option
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
    """The acts that writing a value is: hands inside with power off, enabling heat where it allows it."""
    setting = ledger.equipment.setting_of(setting_id)
    acts: list[str] = []
    if setting and setting.power == "off":
        acts.append(HANDS)
    if _allows_heat(ledger, setting_id, value):
        acts.append(ENABLING)
    return tuple(acts)


def _allows_heat(ledger: Ledger, setting_id: str, value: str) -> bool:
    return any(
        any(
            bool(option.value)
            and option.set.get(setting_id) == value
            and _differs_from_off(topic.option, option, setting_id)
            for option in topic.option
        )
        and not _still_off(ledger, topic.option, setting_id, value)
        for topic in ledger.equipment.topic
        if topic.role in HEAT_ROLES
    )


def _still_off(ledger: Ledger, options: tuple[Option, ...], setting_id: str, value: str) -> bool:
    """Whether, with this value written, the control is known to keep heat off by another setting."""

    def stands(option: Option) -> bool:
        return all(
            meant == value if id == setting_id else ledger.holds(id) == meant
            for id, meant in option.set.items()
        )

    return any(stands(o) for o in options if not o.value) and not any(stands(o) for o in options if o.value)


def _differs_from_off(options: tuple[Option, ...], on: Option, setting_id: str) -> bool:
    """A value that the off option carries too does not allow heat by itself."""
    off = [o.set.get(setting_id) for o in options if not o.value and (o.when == on.when or not o.when.kit)]
    return on.set[setting_id] not in off
