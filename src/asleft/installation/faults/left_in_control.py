"""Faults that somebody left in the control: settings that do not suit the unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from asleft.installation.faults.kind import ALL_OR_NOTHING, CannotBe, Change, Kind, Path, kit_of
from asleft.installation.moving_air import moving

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Option, Topic
    from asleft.installation.unit import Installation

SENSOR_OFF_K = -10.0 / 1.8
"""How far from the room the worst sensor hangs."""


def topic_of(equipment: Equipment, role: str, what: str) -> Topic:
    """The topic that plays a role."""
    topic = equipment.role(role)
    if topic is None:
        raise CannotBe(f"the control has no setting for {what}")
    return topic


def offered(topic: Topic, installation: Installation) -> tuple[Option, ...]:
    """Its options at this unit; of several that mean one answer beside other settings, the first."""
    options = topic.options(installation.orientation, installation.kit or "none")
    return tuple({o.id: o for o in reversed(options)}.values())[::-1]


def stands(equipment: Equipment, option: Option) -> dict[Path, object]:
    """The settings of an option left in the control, at every address they live at."""
    put: dict[Path, object] = {}
    for id, value in option.set.items():
        setting = equipment.setting_of(id)
        for address in setting.address if setting else ():
            put["control", "found", (id, address)] = value
    return put


def by_id(options: Sequence[Option], id: str) -> Option:
    """The option of this id."""
    return next(o for o in options if o.id == id)


# ---- blower tier


def _by_airflow(installation: Installation, equipment: Equipment) -> tuple[Option, ...]:
    """The tiers on offer from the least airflow that these ducts give to the most."""
    options = offered(topic_of(equipment, "blower-tier", "the blower tier"), installation)
    if len(options) < 2:
        raise CannotBe("there is only one blower tier")

    def airflow(option: Option) -> float:
        tier = equipment.tier(str(option.value)) or equipment.blower.tier[0]
        return moving(installation, equipment, tier, "cooling").airflow_m3s

    return tuple(sorted(options, key=airflow))


def _with_lower(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """The tiers that may be right while a lower one stands."""
    return tuple(o.id for o in reversed(_by_airflow(installation, equipment)[1:]))


def _with_higher(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    return tuple(o.id for o in _by_airflow(installation, equipment)[:-1])


def _lower(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    """So many tiers below the right one."""
    options = _by_airflow(installation, equipment)
    right = next(n for n, o in enumerate(options) if o.id == where)
    return Change(stands(equipment, options[right - math.ceil(size * right)]))


def _higher(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    options = _by_airflow(installation, equipment)
    right = next(n for n, o in enumerate(options) if o.id == where)
    return Change(stands(equipment, options[right + math.ceil(size * (len(options) - 1 - right))]))


def _turned(installation: Installation, equipment: Equipment) -> dict[str, Option]:
    """The same tiers by the values of other orientations, where those differ."""
    topic = topic_of(equipment, "blower-tier", "the blower tier")
    here = {o.id: o.set for o in offered(topic, installation)}
    found = {
        f"{option.id}.{way}": option
        for option in topic.option
        for way in option.when.orientation
        if way != installation.orientation and option.id in here and option.set != here[option.id]
    }
    if not found:
        raise CannotBe("blower values do not depend on the orientation")
    return found


def _turned_places(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    return tuple(_turned(installation, equipment))


def _other_way(installation: Installation, equipment: Equipment, _size: float, where: str) -> Change:
    needs = (("orientation",),)
    return Change(stands(equipment, _turned(installation, equipment)[where]), needs)


# ---- heat


def _off(installation: Installation, equipment: Equipment) -> Option:
    kit_of(installation, equipment)
    options = offered(topic_of(equipment, "auxiliary-heat", "auxiliary heat"), installation)
    found = next((o for o in options if not o.value), None)
    if found is None:
        raise CannotBe("the control cannot switch heat off")
    return found


def _may_be_off(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    _off(installation, equipment)
    return ("",)


def _not_enabled(installation: Installation, equipment: Equipment, _size: float, _where: str) -> Change:
    return Change(stands(equipment, _off(installation, equipment)), (("kit",),))


def _missing_kits(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """The kits for which heat can stand enabled; the one fitted first, as if it had never been."""
    topic_of(equipment, "auxiliary-heat", "auxiliary heat")
    kits = sorted(equipment.heater, key=lambda k: k.id != installation.kit)
    found = tuple(k.id for k in kits if _most(installation, equipment, k.id).value)
    if not found:
        raise CannotBe("the unit takes no heater kit")
    return found


def _most(installation: Installation, equipment: Equipment, kit: str) -> Option:
    """The option that has most stages of a kit on."""
    topic = topic_of(equipment, "auxiliary-heat", "auxiliary heat")
    options = topic.options(installation.orientation, kit)
    return max(options, key=lambda o: len(o.value))


def _no_kit(installation: Installation, equipment: Equipment, _size: float, where: str) -> Change:
    gone: dict[Path, object] = {("kit",): None, ("branches",): (), ("element_factors",): ()}
    return Change({**gone, **stands(equipment, _most(installation, equipment, where))})


# ---- what decides when


def _sensors(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    options = offered(topic_of(equipment, "room-sensor", "the room sensor"), installation)
    if len(options) < 2:
        raise CannotBe("there is only one room sensor")
    return tuple(o.id for o in reversed(options))


def _sensor(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    """The control listens to a sensor that hangs somewhere else."""
    topic = topic_of(equipment, "room-sensor", "the room sensor")
    option = by_id(offered(topic, installation), where)
    off: dict[Path, object] = {("control", "sensors_off_k", str(option.value)): size * SENSOR_OFF_K}
    return Change({**stands(equipment, option), **off})


def lockouts(installation: Installation, equipment: Equipment) -> tuple[Option, ...]:
    """Outdoor lockouts of auxiliary heat on offer, from the lowest."""
    options = offered(topic_of(equipment, "outdoor-lockout", "an outdoor lockout"), installation)
    if len(options) < 2:
        raise CannotBe("there is only one outdoor lockout")
    return tuple(sorted(options, key=lambda o: float(o.value)))


def _high_lockouts(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    return tuple(o.id for o in reversed(lockouts(installation, equipment)[1:]))


def _too_high(installation: Installation, equipment: Equipment, _size: float, where: str) -> Change:
    return Change(stands(equipment, by_id(lockouts(installation, equipment), where)))


KINDS = (
    Kind(
        "tier-too-low",
        "Blower tier too low",
        "control",
        "the part of the way to the lowest",
        _with_lower,
        _lower,
    ),
    Kind(
        "tier-too-high",
        "Blower tier too high",
        "control",
        "the part of the way to the highest",
        _with_higher,
        _higher,
    ),
    Kind(
        "orientation-setting-wrong",
        "Blower set for another orientation",
        "control",
        ALL_OR_NOTHING,
        _turned_places,
        _other_way,
    ),
    Kind("heat-not-enabled", "Heat never enabled", "control", ALL_OR_NOTHING, _may_be_off, _not_enabled),
    Kind("heat-without-kit", "Heat enabled without a kit", "control", ALL_OR_NOTHING, _missing_kits, _no_kit),
    Kind(
        "sensor-source-wrong",
        "Wrong room sensor",
        "control",
        "how far from the room it hangs",
        _sensors,
        _sensor,
    ),
    Kind(
        "lockout-too-high", "Outdoor lockout too high", "control", ALL_OR_NOTHING, _high_lockouts, _too_high
    ),
)
