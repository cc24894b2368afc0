"""What a control makes of characters keyed at it: codes in parts, codes to confirm, and queries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


@dataclass(frozen=True, slots=True)
class Heard:
    """The setting that characters concern; `store` is the value they give it, None while they give none."""

    setting: str
    address: str
    store: str | None = None


class Keypad:
    """Remembers what was keyed at one address until it is whole, or something else is keyed."""

    def __init__(self, equipment: Equipment) -> None:
        self._equipment = equipment
        self._keyed: tuple[tuple[str, str], ...] = ()

    def forget(self) -> None:
        """Let go of what was begun, as a control does when its power goes."""
        self._keyed = ()

    def key(self, address: str, characters: str) -> Heard | None:
        """What these characters mean after those before them, or None where they mean nothing."""
        for begun in (self._keyed, ()):
            keyed = (*begun, (address, characters))
            for code in self._equipment.code:
                for at in self._addresses(code.setting):
                    whole = code.keyed(at)
                    if whole[: len(keyed)] == keyed:
                        last = len(keyed) == len(whole)
                        self._keyed = () if last else keyed
                        return Heard(code.setting, at, code.value if last else None)
        self._keyed = ()
        for code in self._equipment.code:
            if characters == code.query and address in self._addresses(code.setting):
                return Heard(code.setting, address)
        return None

    def _addresses(self, setting: str) -> tuple[str, ...]:
        found = self._equipment.setting_of(setting)
        return found.address if found else ()
