"""A drill sheet: which unit at which site, what is wrong with it, and how the trainee works. TOML."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, NamedTuple

import tomli

from asleft.drill.classroom.places import Places
from asleft.drill.classroom.sheet_reading import Reading, Sheet
from asleft.drill.site import Site, site
from asleft.equipment.errors import Complaint, EquipmentErrors, described
from asleft.equipment.reading import FORMAT, located, read_bounded, read_toml
from asleft.installation.faults import FAULTS, CannotBe, Fault, clash, with_faults

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, EquipmentFile
    from asleft.installation.unit import Installation

LESSONS = Path(__file__).parent / "lessons"
LEVELS = (1, 2, 3)
LEAST_DRAWN = 0.5
"""No fault drawn by a seed is smaller than this part of its full size: it is to be found in a lesson."""
_DRAWS = 200

FindUnit = Callable[[str], "EquipmentFile"]
"""The unit of an id or a path. Raises LookupError, EquipmentErrors or OSError."""


class SheetErrors(ValueError):
    """Everything wrong with one sheet, a line each, in the order of the file."""


@dataclass(frozen=True)
class Staged:
    """A sheet with the unit and the sites that it means: as it would be healthy, and as it is.

    `faults` are those of the sheet, each at a place.
    """

    sheet: Sheet
    faults: tuple[Fault, ...]
    equipment: EquipmentFile
    healthy: Site = field(repr=False)
    installation: Installation = field(repr=False)


def lessons() -> dict[str, Path]:
    """The lessons that come with the program, by name."""
    return {path.stem: path for path in sorted(LESSONS.glob("*.toml"))}


class Ready(NamedTuple):
    """A lesson that comes with the program, as far as a trainee may know it."""

    name: str
    title: str
    level: int
    unit: str
    minutes: int
    aims: tuple[str, ...]
    hints: int


def ready() -> tuple[Ready, ...]:
    """The lessons that come with the program, the easiest first."""
    found = []
    for name, path in lessons().items():
        text = path.read_text("utf-8")
        sheet = Reading(tomli.loads(text), text).sheet()
        told = (sheet.title, sheet.level, sheet.unit, sheet.minutes, sheet.aims, len(sheet.hints))
        found.append(Ready(name, *told))
    return tuple(sorted(found, key=lambda lesson: (lesson.level, lesson.name)))


def stage(wanted: str, find_unit: FindUnit) -> Staged:
    """The drill of a ready lesson's name or a sheet's path. Raises SheetErrors, OSError."""
    path = lessons().get(wanted) or Path(wanted)
    data = read_bounded(path)
    beside = path.parent

    def find(named: str) -> EquipmentFile:
        near = beside / named
        return find_unit(str(near) if named.endswith(".toml") and near.is_file() else named)

    return staged(data, str(path) if wanted not in lessons() else wanted, find)


def staged(data: bytes, name: str, find_unit: FindUnit) -> Staged:
    """The drill that the bytes of a sheet mean; `name` is what messages call it. Raises SheetErrors."""
    try:
        text, raw = read_toml(data, name)
        reading = Reading(raw, text)
        sheet = reading.sheet()
        if reading.wrong:
            raise located(reading.wrong, text, name)
        equipment = _unit(sheet, find_unit, text, name)
        healthy = _site(sheet, equipment.equipment, text, name)
        places = Places(healthy, equipment.equipment)
        complaints = list(_impossible(sheet.faults, places))
        if complaints:
            raise located(complaints, text, name)
    except EquipmentErrors as errors:
        raise SheetErrors(str(errors)) from errors
    faults = tuple(map(places.placed, sheet.faults))
    wrong = with_faults(healthy.installation, equipment.equipment, faults)
    return Staged(sheet, faults, equipment, healthy, wrong)


def drawn(seed: int, level: int, equipment: EquipmentFile) -> Staged:
    """The drill of a seed: as many faults as its level says, none in the way of another.

    Raises NoSite, and CannotBe where the unit cannot have so many.
    """
    unit = equipment.equipment
    healthy = site(seed, unit)
    random = Random(f"drill {seed} level {level} {unit.unit.id}")
    faults = _draw(random, level, Places(healthy, unit))
    lines = [
        f"format = {FORMAT}",
        f'title = "Seed {seed}, level {level}"',
        f"level = {level}",
        f'unit = "{unit.unit.id}"',
        f"seed = {seed}",
        f'hands = "{"set" if level == 1 else "own"}"',
        f"warned = {'true' if level == 1 else 'false'}",
    ]
    for fault in faults:
        lines += ["", "[[fault]]", f'kind = "{fault.kind}"', f"size = {fault.size}"]
        lines += [f'where = "{fault.where}"'] if fault.where else []
    text = "\n".join(lines)
    wrong = with_faults(healthy.installation, unit, faults)
    sheet = Sheet(
        text,
        f"Seed {seed}, level {level}",
        level,
        unit.unit.id,
        seed,
        faults,
        hands="set" if level == 1 else "own",
        warned=level == 1,
    )
    return Staged(sheet, faults, equipment, healthy, wrong)


def _draw(random: Random, level: int, places: Places) -> tuple[Fault, ...]:
    """So many faults, each where it is one at this site, and none in the way of another."""
    can = places.possible()
    if len(can) < level:
        raise CannotBe(f"only {len(can)} kinds of fault can be at this unit: {', '.join(can)}")
    for _ in range(_DRAWS):
        faults = []
        for kind in random.sample(list(can), level):
            size = round(random.uniform(max(FAULTS[kind].mild, LEAST_DRAWN), 1.0), 2)
            if wrong := places.wrong(kind, size):
                faults.append(Fault(kind, size, random.choice(wrong)))
        try:
            with_faults(places.healthy.installation, places.equipment, faults)
        except CannotBe:
            continue
        if len(faults) == level:
            return tuple(faults)
    raise CannotBe(f"no {level} faults were found that can be at this unit together")


def _unit(sheet: Sheet, find_unit: FindUnit, text: str, name: str) -> EquipmentFile:
    try:
        return find_unit(sheet.unit)
    except (LookupError, OSError, EquipmentErrors) as error:
        first = str(error).splitlines()[0]
        raise located(
            [Complaint(("unit",), described(sheet.unit), f"a unit of asleft equipment list: {first}")],
            text,
            name,
        ) from error


def _site(sheet: Sheet, equipment: Equipment, text: str, name: str) -> Site:
    from asleft.drill.site import NoSite

    try:
        return site(sheet.seed, equipment)
    except NoSite as error:
        raise located(
            [Complaint(("seed",), str(sheet.seed), f"another seed: {error}")], text, name
        ) from error


def _impossible(faults: Sequence[Fault], places: Places) -> Iterator[Complaint]:
    """Faults that cannot be at this unit, are none there, or not together; each with what can be."""
    can, site, equipment = places.possible(), places.healthy.installation, places.equipment
    sound: list[Fault] = []
    for n, fault in enumerate(faults):
        at = ("fault", n)
        if fault.kind not in can:
            why = FAULTS[fault.kind].can_be(site, equipment)
            yield Complaint((*at, "kind"), f"{described(fault.kind)}, and {why}", f"one of {', '.join(can)}")
            continue
        wrong = places.wrong(fault.kind, fault.size)
        listed = ", ".join(f'"{place}"' for place in wrong)
        right = f"one of {listed}" if any(wrong) else "no place: it can be in one only"
        if fault.where and fault.where not in can[fault.kind]:
            yield Complaint((*at, "where"), described(fault.where), right)
        elif not wrong:
            yield Complaint(
                (*at, "kind"),
                f"{described(fault.kind)}, which at this site leaves what is right there",
                "another size, seed or kind",
            )
        elif fault.where and fault.where not in wrong:
            yield Complaint(
                (*at, "where"), f"{described(fault.where)}, which is no fault at this site", right
            )
        elif why := next((w for o in sound if (w := clash(site, equipment, fault, o))), ""):
            yield Complaint((*at, "kind"), f"{described(fault.kind)}: {why}", "faults that do not meet")
        else:
            sound.append(places.placed(fault))
