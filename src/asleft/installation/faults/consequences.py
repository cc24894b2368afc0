"""What other faults do, which has a name of its own but is never a fault of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

from asleft.installation.faults.kind import CannotBe, Kind

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.unit import Installation


def _never(_installation: Installation, _equipment: Equipment, *_more: object) -> NoReturn:
    raise CannotBe("low airflow starves a heater: its cause is the fault")


KINDS = (Kind("heater-starved", "Heater starved of air", "blower", "as its cause", _never, _never),)
