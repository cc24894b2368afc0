"""Faults of how the control takes a value."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.faults.kind import ALL_OR_NOTHING, CannotBe, Change, Kind

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation


def _place(where: str) -> tuple[str, str]:
    setting, _, address = where.rpartition("@")
    return setting, address


def _several(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    found = tuple(f"{s.id}@{a}" for s, a in equipment.places() if len(s.address) > 1)
    if not found:
        raise CannotBe("every setting lives at one address only")
    return found


def _elsewhere(_installation: Installation, equipment: Equipment, _size: float, where: str) -> Change:
    """A write reaches the next address at which the setting lives."""
    id, address = _place(where)
    setting = equipment.setting_of(id)
    assert setting is not None
    following = setting.address[(setting.address.index(address) + 1) % len(setting.address)]
    return Change({("control", "lands", (id, address)): following}, (("control", "deaf", (id, address)),))


def _coded(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    found = tuple(f"{s.id}@{a}" for s, a in equipment.places() if s.entry == "code")
    if not found:
        raise CannotBe("no setting is entered by code")
    return found


def _deaf(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    return Change({("control", "deaf", _place(where)): True})


def _quick(_installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    """Settings with an effect that shows, written with power on and said to act at once."""
    topics = [t for t in equipment.topic if t.role in ("blower-tier", "auxiliary-heat")]
    carried = {id for t in topics for o in t.option for id in o.set}
    settings = [s for s in equipment.setting if s.id in carried]
    found = tuple(s.id for s in settings if s.power == "on" and not s.power_cycle)
    if not found:
        raise CannotBe("every setting of blower and heat is written with power off, or needs a power cycle")
    return found


def _slow(_installation: Installation, _equipment: Equipment, _size: float, where: str) -> Change:
    return Change({("control", "lags", where): True})


KINDS = (
    Kind("wrong-address", "Write reaches another address", "control", ALL_OR_NOTHING, _several, _elsewhere),
    Kind("code-not-stored", "Code not stored", "control", ALL_OR_NOTHING, _coded, _deaf),
    Kind("stored-not-in-force", "Stored, not in force", "control", ALL_OR_NOTHING, _quick, _slow),
)
