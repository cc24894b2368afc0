"""What the readings at the line tell: its voltages, the source behind it and the heat that the kit gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.calc import Measured, combine, heater_power, phase_factor
from asleft.installation.line_fields import IDLE, LOADED, kit_fields, leg_fields, stage_fields
from asleft.installation.lines import blower_in_line
from asleft.session.readings import Known, known

if TYPE_CHECKING:
    from asleft.equipment.model import Circuit, Heater
    from asleft.session.ledger import Ledger


@dataclass(frozen=True, slots=True)
class LineRead:
    """Figures in base units, None where they are not known; `heat_to_stage_w` is with stages 1 to n on.

    `rests` names the fields of each.
    """

    idle_v: Measured | None
    heat_v: Measured | None
    source_resistance_ohm: Measured | None
    heat_to_stage_w: tuple[Measured, ...]
    rests: Mapping[str, tuple[str, ...]]


def mean(read: Sequence[Measured | Known]) -> Measured:
    """The mean of readings by one instrument, whose gain they share: their U is no smaller than theirs."""
    return Measured(sum(k.value for k in read) / len(read), sum(k.expanded for k in read) / len(read))


def read_line(ledger: Ledger) -> LineRead:
    """What the newest readings that are not stale say of the line and of the heat drawn from it."""
    return _Reader(ledger).result()


class _Reader:
    """One pass over the readings at the line."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.rests: dict[str, tuple[str, ...]] = {}

    def result(self) -> LineRead:
        idle, loaded = (self.mean_of(kit_fields(self.ledger, begin)) for begin in (IDLE, LOADED))
        resistance, heats = self.resistance(idle, loaded), self.heats(idle, loaded)
        return LineRead(idle, loaded, resistance, heats, self.rests)

    def resistance(self, at_idle: Measured | None, at_load: Measured | None) -> Measured | None:
        """Source resistance between the voltages idle and with all heat on."""
        kit = self.ledger.kit
        circuits = range(1, len(kit.circuit if kit else ()) + 1)
        amps = [a for n in circuits if kit and (a := self.circuit_amps(kit, n))]
        if at_idle is None or at_load is None or not amps or sum(a.value for a in amps) <= 0.0:
            return None
        total = Measured(sum(a.value for a in amps), sum(a.expanded for a in amps))
        self.rests["source resistance"] = (*kit_fields(self.ledger, IDLE), *kit_fields(self.ledger, LOADED))
        return combine(lambda i, v, a: (i - v) / a, at_idle, at_load, total)

    def mean_of(self, fields: tuple[str, ...]) -> Measured | None:
        """The mean of several fields, None until all of them are known."""
        read = [k for f in fields if (k := known(self.ledger, f)) is not None]
        return mean(read) if len(read) == len(fields) else None

    def circuit_amps(self, kit: Heater, circuit: int) -> Measured | None:
        """A circuit's current with all heat on: of one leg, or the mean of three."""
        legs = leg_fields(kit, circuit, "called")
        return self.mean_of(legs if kit.phases == 3 else legs[:1])

    def heats(self, idle: Measured | None, loaded: Measured | None) -> tuple[Measured, ...]:
        """Heat with stages 1 to n on, for each n.

        By rating, at the voltage measured with heat on, else idle, else nominal, until the volts and amps of
        each circuit with its last stage on were read together. Empty without a kit or a voltage.
        """
        kit, supply = self.ledger.kit, self.ledger.supply
        if kit is None:
            return ()
        volts, begin = (loaded, LOADED) if loaded else (idle, IDLE)
        self.rests["heat"] = kit_fields(self.ledger, begin) if volts else ()
        if volts is None or volts.value <= 0.0:
            if supply is None:
                return ()
            volts = Measured(supply.nominal, 0.0)
        return tuple(self.heat_to(kit, n, volts, loaded) for n in range(1, len(kit.stage) + 1))

    def heat_to(self, kit: Heater, n: int, volts: Measured, loaded: Measured | None) -> Measured:
        """Heat with stages 1 to `n` on."""
        on = {stage.id: number for number, stage in enumerate(kit.stage[:n], 1)}
        read = [
            self.circuit_heat(kit, circuit, max(on[s] for s in circuit.stages if s in on), loaded)
            for circuit in kit.circuit
            if any(s in on for s in circuit.stages)
        ]
        if read and all(read):
            heats = [heat for heat in read if heat is not None]
            return Measured(sum(h.value for h in heats), sum(h.expanded for h in heats))
        rated = sum(stage.power for stage in kit.stage[:n])
        return combine(lambda v: heater_power(rated, kit.voltage, v, kit.phases).power_w, volts)

    def circuit_heat(
        self, kit: Heater, circuit: Circuit, last: int, loaded: Measured | None
    ) -> Measured | None:
        """Heat of a circuit from its volts and amps with stage `last` on, the blower's amps taken off."""
        across = stage_fields(kit, last)
        fields = [*across, f"electrical.stage.{last}.current"]
        with_blower = blower_in_line(self.ledger.equipment.blower, kit, circuit)
        if with_blower:
            fields.append("electrical.blower.current")
        taken = [Measured(k.value, k.expanded) for f in fields if (k := known(self.ledger, f)) is not None]
        if len(taken) < len(fields):
            return None
        read = (mean(taken[: len(across)]), taken[len(across)])
        if read[0].value <= 0.0:
            return None
        factor = phase_factor(kit.phases)
        blower = taken[-1] if with_blower else Measured(0.0, 0.0)
        self.rests["heat"] = tuple(dict.fromkeys((*self.rests.get("heat", ()), *fields)))
        if loaded is None:
            return combine(lambda v, i, b: factor * v * max(0.0, i - b), *read, blower)
        return combine(lambda v, i, b, at: factor * max(0.0, i - b) * at**2 / v, *read, blower, loaded)
