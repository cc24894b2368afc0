"""Which fields hold the volts and amps of one phase or of three."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.lines import PAIRS

if TYPE_CHECKING:
    from asleft.equipment.model import Heater
    from asleft.session.ledger import Ledger

IDLE, LOADED = "electrical.line.", "electrical.loaded."
"""What the fields of line voltages begin with, heat off and all heat on."""


def line_fields(ledger: Ledger, begin: str) -> tuple[str, ...]:
    """The line-to-line fields of this supply that begin so: one, or three on three phases."""
    fields = tuple(begin + pair for pair in PAIRS)
    supply = ledger.supply
    return fields if supply is not None and supply.phases == 3 else fields[:1]


def kit_fields(ledger: Ledger, begin: str) -> tuple[str, ...]:
    """As `line_fields`, those that the elements stand on: the first pair for a kit of one phase."""
    fields, kit = line_fields(ledger, begin), ledger.kit
    return fields if kit is not None and kit.phases == 3 else fields[:1]


def stage_fields(kit: Heater, stage: int) -> tuple[str, ...]:
    """The voltages read together with a stage's current, stages counted from 1."""
    names = ("voltage", *PAIRS[1:]) if kit.phases == 3 else ("voltage",)
    return tuple(f"electrical.stage.{stage}.{name}" for name in names)


def leg_fields(kit: Heater, circuit: int, when: str) -> tuple[str, ...]:
    """The current of each leg of a circuit, counted from 1, when `no_call` or `called`."""
    legs = ("l1", "l2", "l3") if kit.phases == 3 else ("l1", "l2")
    return tuple(f"electrical.circuit.{circuit}.{when}.{leg}" for leg in legs)
