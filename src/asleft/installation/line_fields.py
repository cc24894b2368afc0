"""Which fields hold the volts and amps of one phase or of three."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.installation.lines import PAIRS

if TYPE_CHECKING:
    from asleft.equipment.model import Heater
    from asleft.session.ledger import Ledger

IDLE, LOADED, PANEL = "electrical.line.", "electrical.loaded.", "electrical.panel."
"""What the fields of line voltages begin with: heat off, all heat on, and at the panel with all heat on."""


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


def stage_amps(kit: Heater, stage: int) -> tuple[str, ...]:
    """The current read with stages up to this one on, counted from 1: one line's, or each of three lines'.

    The last is that of the line which feeds no single-phase blower.
    """
    begin = f"electrical.stage.{stage}.current"
    return (f"{begin}.l1", f"{begin}.l2", begin) if kit.phases == 3 else (begin,)


def leg_fields(kit: Heater, circuit: int, when: str, against: str = "") -> tuple[str, ...]:
    """A reading of each leg of a circuit, counted from 1: `no_call`, `called` amps, `joint`, `locked` volts.

    `against` ends the field's id where it says what the leg is read against.
    """
    legs = ("l1", "l2", "l3") if kit.phases == 3 else ("l1", "l2")
    return tuple(f"electrical.circuit.{circuit}.{when}.{leg}{against}" for leg in legs)


def circuit_loaded_fields(ledger: Ledger, circuit: int) -> tuple[str, ...]:
    """Volts at a circuit's own terminals with all heat on; those of the first are the unit's."""
    return kit_fields(ledger, LOADED if circuit == 1 else f"electrical.circuit.{circuit}.loaded.")
