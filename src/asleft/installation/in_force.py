"""Which option of a topic the settings in force amount to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Option

Settings = Mapping[tuple[str, str], str]


def option_in_force(
    equipment: Equipment, role: str, settings: Settings, orientation: str | None, kit: str | None
) -> Option | None:
    """The option that these settings are, or the one that most of them are where they are no option."""
    topic = equipment.role(role)
    if topic is None:
        return None

    def right(option: Option) -> int:
        return sum(
            settings.get((id, address)) == value
            for id, value in option.set.items()
            if (setting := equipment.setting_of(id)) is not None
            for address in setting.address
        )

    def held(id: str) -> str | None:
        setting = equipment.setting_of(id)
        return settings.get((id, setting.address[0])) if setting else None

    options = topic.options(orientation, kit, held) or topic.option
    whole = [
        o for o in options if right(o) == sum(len(s.address) for i in o.set if (s := equipment.setting_of(i)))
    ]
    # Of several that fit, the one that says most is meant; of none, the nearest.
    return max(whole or options, key=right)
