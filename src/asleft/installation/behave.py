"""The physics of an installed unit: what every measured field would truly read in a given state."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.calc import phase_factor, pressure_ratio, rise_from_airflow
from asleft.installation.fans import FanTable
from asleft.installation.lines import PAIRS, Phasors, dropped, each_line_ohm, line_currents, triangle

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Option, Tier, Use
    from asleft.installation.unit import Installation

Settings = Mapping[tuple[str, str], str]
Truth = float | bool | str


@dataclass(frozen=True, slots=True)
class Air:
    """The blower's operating point."""

    airflow_m3s: float
    supply_pa: float
    return_pa: float
    power_w: float


@dataclass(frozen=True, slots=True)
class Load:
    """One branch circuit under load: volts of each pair of lines, amps of each line, heat by stage."""

    pairs_v: tuple[float, ...]
    lines_a: tuple[float, ...]
    heat_w: Mapping[str, float]


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


def behave(
    installation: Installation, equipment: Equipment, settings: Settings, state: str
) -> dict[str, Truth]:
    """True values by field id of every measured field taken in this state; `settings` are those in force."""
    unit = _Unit(installation, equipment, settings)
    match state.partition("."):
        case ("isolated", _, _):
            return unit.isolated()
        case ("idle", _, _):
            return unit.idle()
        case ("blower", _, _):
            return unit.blowing()
        case ("heat", _, upto):
            return unit.heating(upto)
        case _:
            return {}


class _Unit:
    """One unit in one moment."""

    def __init__(self, installation: Installation, equipment: Equipment, settings: Settings) -> None:
        self.truth, self.equipment = installation, equipment
        self.kit: Heater | None = equipment.kit(installation.kit)
        self.ratio = pressure_ratio(installation.altitude_m)
        where = (settings, installation.orientation, installation.kit)
        tier = option_in_force(equipment, "blower-tier", *where)
        self.tier: Tier = (equipment.tier(str(tier.value)) if tier else None) or equipment.blower.tier[0]
        heat = option_in_force(equipment, "auxiliary-heat", *where)
        kit_stages = tuple(s.id for s in self.kit.stage) if self.kit else ()
        allowed = tuple(heat.value) if heat else kit_stages
        self.allowed = tuple(s for s in kit_stages if s in allowed)

    # ---- states

    def isolated(self) -> dict[str, Truth]:
        """Power off, covers off."""
        found: dict[str, Truth] = {"electrical.ground.resistance": self.truth.ground_ohm}
        for n, branch in enumerate(self.truth.branches, 1):
            found |= {
                f"electrical.circuit.{n}.device": branch.device_a,
                f"electrical.circuit.{n}.conductor": branch.conductor,
                f"electrical.circuit.{n}.material": branch.material,
                f"electrical.circuit.{n}.insulation": str(branch.insulation_c),
                f"electrical.circuit.{n}.ambient": branch.ambient_c,
                f"electrical.circuit.{n}.conductors": float(branch.conductors),
            }
            if branch.capacity_a is not None:
                found[f"electrical.circuit.{n}.capacity"] = branch.capacity_a
        return found

    def idle(self) -> dict[str, Truth]:
        """Power on, nothing called."""
        found: dict[str, Truth] = {
            **{f"electrical.line.{pair}": v for pair, v in zip(PAIRS, self.source(), strict=False)},
            "electrical.control.idle": self.control(self.source()[0], called=False),
            "blower.ready.zeroed": True,
            "blower.ready.filter_in": True,
            "blower.ready.panels_on": True,
            "blower.ready.registers_open": True,
            "blower.ready.coil": "dry",
        }
        for leg, share in self.to_ground().items():
            found[f"electrical.line.{leg}_ground"] = self.leg_v(leg) * share
        for n, _ in enumerate(self.truth.branches, 1):
            standby = self.truth.standby_a if self.feeds_blower(n) else 0.0
            for leg in self.legs():
                fed = leg != "l3" or self.equipment.blower.phases == 3
                found[f"electrical.circuit.{n}.no_call.{leg}"] = standby if fed else 0.0
        return found

    def blowing(self) -> dict[str, Truth]:
        """Blower at its cooling speed, no heat."""
        air = self.air("cooling")
        return {
            "electrical.blower.current": self.blower_amps(air, self.source()[0]),
            "blower.static.supply": air.supply_pa,
            "blower.static.return": -air.return_pa,
        }

    def heating(self, upto: str) -> dict[str, Truth]:
        """Stages 1 to `upto` called, or all; the blower at its heating speed, the heat pump off."""
        if self.kit is None:
            return {}
        every = [s.id for s in self.kit.stage]
        count = len(every) if upto == "all" else int(upto)
        on = [s for s in every[:count] if s in self.allowed]
        air = self.air("heating")
        loads = self.loads(on, air)
        heat_w = sum(w for load in loads for w in load.heat_w.values())
        rise_k = rise_from_airflow(heat_w + air.power_w, air.airflow_m3s, 0.0, self.truth.altitude_m)
        leaving = self.truth.return_air_c + rise_k * self.truth.rise_factor
        if upto == "all":
            return self.all_heat(loads, air, bool(on))
        home = next((n for n, c in enumerate(self.kit.circuit) if every[count - 1] in c.stages), 0)
        load = loads[home] if loads else self.nothing_on()
        names = ("voltage", *PAIRS[1:])[: 3 if self.kit.phases == 3 else 1]
        return {
            **{f"electrical.stage.{upto}.{at}": v for at, v in zip(names, load.pairs_v, strict=False)},
            f"electrical.stage.{upto}.current": load.lines_a[len(self.legs()) - 1],
            f"heat.stage.{upto}.return_air": self.truth.return_air_c,
            f"heat.stage.{upto}.leaving_air": leaving,
        }

    def all_heat(self, loads: list[Load], air: Air, heated: bool) -> dict[str, Truth]:
        """Everything called."""
        first = loads[0] if loads else self.nothing_on()
        found: dict[str, Truth] = {
            **{f"electrical.loaded.{pair}": v for pair, v in zip(PAIRS, first.pairs_v, strict=False)},
            "electrical.control.loaded": self.control(first.pairs_v[0], called=True),
            "heat.static.supply": air.supply_pa,
            "heat.static.return": -air.return_pa,
        }
        for n, load in enumerate(loads, 1):
            legs = zip(self.legs(), load.lines_a, strict=False)
            found |= {f"electrical.circuit.{n}.called.{leg}": amps for leg, amps in legs}
            found[f"electrical.circuit.{n}.called.both"] = 0.0
        for path in ("normal", "defrost", "emergency", "lost_communication"):
            found[f"heat.path.{path}"] = heated
        return found

    # ---- parts

    def source(self) -> tuple[float, ...]:
        """Volts of each pair of lines at the source."""
        if self.truth.phases == 1:
            return (self.truth.source_v,)
        return tuple(self.truth.source_v * (1.0 + off) for off in self.truth.spread)

    def leg_v(self, leg: str) -> float:
        """Line-to-line volts that a leg takes part in: the mean of its two pairs, where there are three."""
        pairs = dict(zip(PAIRS, self.source(), strict=False))
        own = [volts for pair, volts in pairs.items() if leg in pair] or [self.truth.source_v]
        return sum(own) / len(own)

    def legs(self) -> tuple[str, ...]:
        """The lines of the kit's circuits."""
        return ("l1", "l2", "l3") if self.kit is not None and self.kit.phases == 3 else ("l1", "l2")

    def nothing_on(self) -> Load:
        """No circuit that anybody knows of."""
        return Load(self.source(), tuple(0.0 for _ in self.legs()), {})

    def to_ground(self) -> dict[str, float]:
        """Each leg's volts to ground as a share of line to line."""
        match self.truth.system:
            case "wye":
                share = 1.0 / math.sqrt(3.0)
                return {"l1": share, "l2": share, "l3": share}
            case "high-leg":
                return {"l1": 0.5, "l2": math.sqrt(3.0) / 2.0, "l3": 0.5}
            case "line-neutral":
                return {"l1": 1.0, "l2": 0.0, "l3": 0.0}
            case _:
                return {"l1": 0.5, "l2": 0.5, "l3": 0.5}

    def control(self, volts: float, *, called: bool) -> float:
        """The control transformer's secondary."""
        circuit, supply = self.equipment.control_circuit, self.truth
        if circuit is None:
            return 0.0
        nearest = min(self.equipment.supply, key=lambda s: abs(s.nominal - volts)).nominal
        idle = circuit.nominal * volts / nearest * supply.control_factor
        loads = sum(load.power for load in circuit.loads)
        fraction = loads / circuit.transformer if circuit.transformer else 0.5
        return idle * (1.0 - supply.control_regulation * fraction) if called else idle

    def feeds_blower(self, n: int) -> bool:
        circuits = self.kit.circuit if self.kit else ()
        return n <= len(circuits) and circuits[n - 1].feeds_blower

    def table(self, use: Use) -> FanTable:
        table = FanTable.of(self.tier, use, self.equipment.blower, self.kit, self.ratio)
        return replace(table, airflow_m3s=tuple(q * self.truth.fan_factor for q in table.airflow_m3s))

    def air(self, use: Use) -> Air:
        """Where the blower meets the ducts; at the end of its table where they leave it."""
        table, truth = self.table(use), self.truth
        whole = truth.supply_coefficient + truth.return_coefficient
        point = table.meets(whole, truth.exponent)
        airflow = point.airflow_m3s if point else self._end(table, whole)
        static = whole * airflow**truth.exponent
        power = table.power_at(
            min(max(static, table.static_pa[0] * table.ratio), table.static_pa[-1] * table.ratio)
        )
        watts = power if power is not None else 0.5 * static * airflow + 300.0 * airflow
        return Air(
            airflow,
            truth.supply_coefficient * airflow**truth.exponent,
            truth.return_coefficient * airflow**truth.exponent,
            watts,
        )

    def _end(self, table: FanTable, coefficient: float) -> float:
        low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
        first, last = table.airflow_m3s[0] * table.volume, table.airflow_m3s[-1] * table.volume
        if coefficient * first**self.truth.exponent < low:
            return first
        return min(last, math.pow(high / coefficient, 1.0 / self.truth.exponent))

    def blower_amps(self, air: Air, volts: float) -> float:
        factor = phase_factor(self.equipment.blower.phases)
        return float(air.power_w / (volts * factor * self.truth.blower_power_factor))

    def loads(self, on: list[str], air: Air) -> list[Load]:
        """Every circuit at its real voltage: source and branch drop with the current that they carry."""
        assert self.kit is not None
        circuits, phases = self.kit.circuit, self.kit.phases
        source = triangle(self.source() if len(self.source()) == 3 or phases == 1 else self.source() * 3)
        pairs = len(source)
        across = pairs if phases == 3 else 1
        # Elements of a stage, however joined, draw what equal ones between the pairs of lines would.
        siemens = {
            stage.id: stage.power * self.truth.element_factors[i] / (across * self.kit.voltage**2)
            for i, stage in enumerate(self.kit.stage)
            if stage.id in on
        }
        source_ohm = each_line_ohm(self.truth.source_ohm, 1 if pairs == 1 else 3)
        still: Phasors = (0j,) * (2 if pairs == 1 else 3)
        lines, volts = [still] * len(circuits), [source] * len(circuits)
        for _ in range(60):
            together = tuple(sum(amps) for amps in zip(*lines, strict=True))
            panel = dropped(source, together or still, source_ohm)
            for i, circuit in enumerate(circuits):
                loop = self.truth.branches[i].loop_ohm if i < len(self.truth.branches) else 0.0
                volts[i] = dropped(panel, lines[i], each_line_ohm(loop, phases))
                heat = sum(siemens[s] for s in circuit.stages if s in siemens)
                drawn = [v * heat if n < across else 0j for n, v in enumerate(volts[i])]
                if circuit.feeds_blower:
                    drawn = [a + b for a, b in zip(drawn, self.blower_between(air, volts[i]), strict=True)]
                lines[i] = line_currents(drawn)
        return [
            Load(
                tuple(abs(v) for v in volts[i]),
                tuple(abs(a) for a in lines[i]),
                {
                    s: sum(abs(v) ** 2 for v in volts[i][:across]) * siemens[s]
                    for s in circuit.stages
                    if s in siemens
                },
            )
            for i, circuit in enumerate(circuits)
        ]

    def blower_between(self, air: Air, volts: Phasors) -> list[complex]:
        """The blower's current between each pair of lines; a single-phase one stands between L1 and L2."""
        amps = self.blower_amps(air, abs(volts[0]))
        if len(volts) == 1 or self.equipment.blower.phases == 1:
            return [amps * v / abs(v) if n == 0 else 0j for n, v in enumerate(volts)]
        return [amps / math.sqrt(3.0) * v / abs(v) for v in volts]
