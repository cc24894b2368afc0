"""The fields a person can fill, read from fields.toml and filled in for one unit."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING

import tomli

from asleft.quantity import KINDS, parse

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater

OF_A_CIRCUIT = ("marked_torque", "later_circuit")
"""What holds of some of a kit's circuits and not of others."""

DEAD = "dead"
"""The state in which absence of voltage is proved: power off, nobody's hands inside yet."""
MINUTES_OF_HEAT = 10
"""How long all heat is watched, a reading a minute (common practice)."""
PANES = ("identity", "electrical", "blower", "heat", "delay", "sequence", "signoff")


@dataclass(frozen=True, slots=True)
class Field:
    """One thing a person tells the wizard. `state` says what the unit is doing when it is taken.

    `lapses`: states, and ids of fields; one of them taken later makes this one be asked again.
    `of_instrument`: it describes the instrument of a role, and another one makes it stale.
    """

    id: str
    kind: str
    label: str
    help: str
    state: str = ""
    instrument: str = ""
    changed_by: tuple[str, ...] = ()
    when: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    source: str = ""
    optional: bool = False
    range: tuple[str, ...] = ()
    lapses: tuple[str, ...] = ()
    of_instrument: str = ""

    @property
    def closing(self) -> bool:
        """Whether it is asked last of all, before the record is signed."""
        return self.pane == "signoff" and "unsafe" not in self.when

    @property
    def pane(self) -> str:
        """The pane it stands on: the first part of its id."""
        return self.id.partition(".")[0]

    @property
    def passing(self) -> bool:
        """Whether it counts only while power stays off and somebody stays: then it is over, not stale."""
        return self.state == DEAD

    @property
    def plausible(self) -> tuple[float, float] | None:
        """Lowest and highest plausible entry in the base unit; None where anything may stand."""
        return _plausible(self.kind, self.range)

    def spans(self, plus_minus: float) -> bool:
        """Whether a ± (the limit a, in the base unit) says something: within all that may be entered."""
        low, high = self.plausible or (-math.inf, math.inf)
        return math.isfinite(plus_minus) and 0.0 <= plus_minus <= high - low

    @property
    def measured(self) -> bool:
        """Whether an instrument takes it."""
        return bool(self.instrument)


@cache
def _plausible(kind: str, range: tuple[str, ...]) -> tuple[float, float] | None:
    if range:
        low, high = (parse(limit, kind).value for limit in range)
        return low, high
    found = KINDS.get(kind)
    if found is None or found.lowest is None or found.highest is None:
        return None
    return found.lowest, found.highest


@cache
def templates() -> tuple[Field, ...]:
    """Every field as written, subjects still in braces."""
    data = tomli.loads(resources.files(__package__).joinpath("fields.toml").read_text("utf-8"))
    read = []
    for item in data["field"]:
        source = item.pop("from", "")
        lists = {k: tuple(v) for k, v in item.items() if isinstance(v, list)}
        read.append(Field(**{**item, **lists, "source": source}))
    return tuple(read)


@cache
def questions() -> frozenset[str]:
    """Every field that is answered yes or no."""
    return frozenset(f.id for f in templates() if f.kind == "yes_no")


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], Field], ...]:
    return tuple(
        (re.compile(re.sub(r"\\\{[a-z]+\\\}", "[^.]+", re.escape(field.id))), field) for field in templates()
    )


@lru_cache(maxsize=4096)
def field_of(id: str) -> Field | None:
    """The field as written, subjects still in braces, that an id is one of; None where there is none."""
    return next((field for pattern, field in _patterns() if pattern.fullmatch(id)), None)


@dataclass(frozen=True, slots=True)
class Situation:
    """What decides which fields apply: what was found fitted, the code, and how the visit stands.

    `yes` are the fields that were answered yes.
    """

    orientation: str | None = None
    kit: str | None = None
    supply: str | None = None
    outdoor: str | None = None
    code: str | None = None
    unsafe: bool = False
    yes: frozenset[str] = frozenset()


class _Unit:
    """An equipment file for a cache: the same only as itself, which is told without reading it."""

    def __init__(self, equipment: Equipment) -> None:
        self.equipment = equipment

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Unit) and other.equipment is self.equipment

    def __hash__(self) -> int:
        return id(self.equipment)


def applicable(equipment: Equipment, situation: Situation) -> Mapping[str, Field]:
    """The fields drawn for this unit in this situation, by id in ledger order, subjects filled in."""
    kit = equipment.kit(situation.kit)
    facts = _facts(equipment, situation, kit)
    return _drawn(_Unit(equipment), kit.id if kit else None, tuple(facts.items()))


@lru_cache(maxsize=64)
def _drawn(unit: _Unit, kit_id: str | None, facts: tuple[tuple[str, bool], ...]) -> Mapping[str, Field]:
    kit, so = unit.equipment.kit(kit_id), dict(facts)
    drawn = {
        field.id: field
        for template in templates()
        if all(so[name] for name in template.when if name not in OF_A_CIRCUIT)
        for field in _filled(template, unit.equipment, kit)
    }
    return MappingProxyType(drawn)


def _facts(equipment: Equipment, situation: Situation, kit: Heater | None) -> dict[str, bool]:
    supply = equipment.supply_of(situation.supply) or equipment.supply[0]
    return {
        "kit": kit is not None,
        "kit_circuit": kit is not None and bool(kit.circuit),
        "kits": bool(equipment.heater),
        "warms": bool(equipment.heater) or equipment.heat_pump is not None,
        "three_phase": supply.phases == 3,
        "single_phase_kit": kit is not None and kit.phases == 1,
        "own_line": not any(circuit.feeds_blower for circuit in (kit.circuit if kit else ())),
        "several_circuits": kit is not None and len(kit.circuit) > 1,
        "insulation_test": kit is not None and kit.insulation_test is True,
        "electronic_motor": equipment.blower.motor == "electronic",
        "three_phase_kit": kit is not None and kit.phases == 3,
        "heat_pump": equipment.heat_pump is not None and bool(equipment.heat_pump.pairing),
        "outdoor": equipment.pairing(situation.outdoor) is not None,
        "north_america": situation.code is None or situation.code.startswith("NEC"),
        "not_north_america": situation.code is not None and not situation.code.startswith("NEC"),
        "orientations": bool(equipment.unit.orientations),
        "control_circuit": equipment.control_circuit is not None,
        "addresses": len(equipment.address) > 1 or any(a.number for a in equipment.address),
        "communication": equipment.role("heat-on-lost-communication") is not None,
        "lockout": equipment.role("outdoor-lockout") is not None,
        "cut_out": equipment.heat_pump is not None and equipment.heat_pump.cut_out is not None,
        "defrost_choice": equipment.role("heat-in-defrost") is not None,
        "unsafe": situation.unsafe,
        "duct_design": "blower.ducts.design" in situation.yes,
        "zoned": "blower.zoned" in situation.yes,
        "fan_speed": any(s.use == "fan" for t in equipment.blower.tier for s in t.speed),
    }


def _filled(template: Field, equipment: Equipment, kit: Heater | None) -> Iterator[Field]:
    field = replace(template, choices=_choices(template, equipment))
    if "{circuit}" in field.id:
        for n, circuit in enumerate(kit.circuit if kit else (), 1):
            own = {"marked_torque": circuit.torque is not None, "later_circuit": n > 1}
            if all(own.get(name, True) for name in field.when):
                asked = replace(field, help=field.help.replace("{torque}", circuit.torque or ""))
                yield _subject(asked, "circuit", str(n))
    elif "{stage}" in field.id:
        for n, _ in enumerate(kit.stage if kit else (), 1):
            yield _subject(field, "stage", str(n))
    elif "{minute}" in field.id:
        for n in range(1, MINUTES_OF_HEAT + 1):
            yield _subject(_subject(field, "minute", str(n)), "seconds", str(60 * n))
    elif "{address}" in field.id:
        for address in equipment.address:
            named = replace(field, label=field.label.replace("{address}", address.label))
            yield _subject(named, "address", address.id)
    else:
        yield field


def _subject(field: Field, name: str, value: str) -> Field:
    brace = "{" + name + "}"
    return replace(
        field,
        id=field.id.replace(brace, value),
        label=field.label.replace(brace, value),
        help=field.help.replace(brace, value),
        state=field.state.replace(brace, value),
    )


def _choices(template: Field, equipment: Equipment) -> tuple[str, ...]:
    match template.source:
        case "":
            return template.choices
        case "orientations":
            return tuple(equipment.unit.orientations)
        case "supplies":
            return tuple(supply.id for supply in equipment.supply)
        case "kits":
            return (*(kit.id for kit in equipment.heater), "none")
        case "pairings":
            pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
            return (*(pairing.id for pairing in pairings), "none")
        case other:
            raise ValueError(
                f"fields.toml: {template.id} takes its choices from {other!r}, which is not known"
            )
