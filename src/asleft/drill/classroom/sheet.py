"""A drill sheet: which unit at which site, what is wrong with it, and how the trainee works. TOML."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.places import Places
from asleft.drill.site import Site, site
from asleft.equipment.errors import Complaint, EquipmentErrors, described, nearest, printable
from asleft.equipment.nodes import Node
from asleft.equipment.reading import FORMAT, located, read_bounded, read_toml
from asleft.installation.faults import FAULTS, CannotBe, Fault, clash, with_faults

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, EquipmentFile
    from asleft.installation.unit import Installation

LESSONS = Path(__file__).parent / "lessons"
LEVELS = (1, 2, 3)
MOST_MINUTES = 480
HANDS = ("set", "own")
"""Whether an instrument is set and placed as the row asks, or by the trainee's own hands."""
LEAST_DRAWN = 0.5
"""No fault drawn by a seed is smaller than this part of its full size: it is to be found in a lesson."""
LONGEST = 400
"""Characters of a title, an aim or a hint, as of any text that a session holds."""
MOST_LINES = 400
MOST_FAULTS = 12
_DRAWS = 200

FindUnit = Callable[[str], "EquipmentFile"]
"""The unit of an id or a path. Raises LookupError, EquipmentErrors or OSError."""


class SheetErrors(ValueError):
    """Everything wrong with one sheet, a line each, in the order of the file."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drill as a trainer wrote it, or a seed drew it. `text` is what is promised and revealed."""

    text: str
    title: str
    level: int
    unit: str
    seed: int
    faults: tuple[Fault, ...]
    aims: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    minutes: int = 0
    hands: str = "own"
    warned: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """The text by its lines."""
        return tuple(self.text.split("\n"))


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
        reading = _Reading(raw, text)
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


class _Reading:
    """The keys of a sheet, one after another; what is wrong with any is kept, and reading goes on."""

    _KNOWN = (
        "format",
        "title",
        "level",
        "unit",
        "seed",
        "minutes",
        "aims",
        "hints",
        "hands",
        "warned",
        "fault",
    )
    _OF_A_FAULT = ("kind", "size", "where")

    def __init__(self, raw: dict[str, Any], text: str) -> None:
        self._top, self._text = Node((), raw), text
        self.wrong: list[Complaint] = []

    def sheet(self) -> Sheet:
        """The sheet as far as it can be read."""
        top = self._top
        if self._text.count("\n") > MOST_LINES:
            self.wrong.append(Complaint((), "a sheet too long", f"at most {MOST_LINES} lines"))
        self._strangers(top, self._KNOWN)
        faults = tuple(self._fault(node) for node in self._listed(top.child("fault")))
        if len(faults) > MOST_FAULTS:
            self.wrong.append(Complaint(("fault",), f"{len(faults)} faults", f"at most {MOST_FAULTS}"))
        return Sheet(
            self._text,
            self._words(top.child("title"), "") or "",
            self._whole(top.child("level"), max(1, min(3, len(faults))), 1, 3),
            self._words(top.child("unit"), "") or "",
            self._whole(top.child("seed"), 1, 0, 999_999_999_999),
            faults,
            self._many(top.child("aims")),
            self._many(top.child("hints")),
            self._whole(top.child("minutes"), 0, 1, MOST_MINUTES),
            self._one_of(top.child("hands"), HANDS, "own"),
            self._yes(top.child("warned"), default=False),
        )

    def _fault(self, node: Node) -> Fault:
        if not isinstance(node.value, dict):
            self._refuse(node, "a table with kind, size and where")
            return Fault("")
        self._strangers(node, self._OF_A_FAULT)
        kind = self._words(node.child("kind"), "") or ""
        if kind and kind not in FAULTS:
            self._refuse(node.child("kind"), nearest(kind, FAULTS))
        size, found = 1.0, node.child("size")
        match found.value:
            case None:
                pass
            case int() | float() as given if not isinstance(given, bool) and 0.0 < given <= 1.0:
                size = float(given)
            case _:
                self._refuse(found, "a size above 0, at most 1")
        where = self._words(node.child("where"), "") if node.child("where").value != "" else ""
        return Fault(kind, size, where or "")

    # ---- shapes

    def _refuse(self, node: Node, expected: str) -> None:
        self.wrong.append(Complaint(node.path, described(node.value), expected))

    def _strangers(self, node: Node, known: Sequence[str]) -> None:
        for child in node.items():
            key = str(child.path[-1])
            if key not in known:
                self.wrong.append(
                    Complaint(child.path, f"a key {printable(key)}", nearest(key, known), at_key=True)
                )

    def _words(self, node: Node, default: str | None) -> str | None:
        key = node.path[-1]
        if node.value is None:
            if key in ("title", "unit", "kind"):
                self._refuse(node, f"{key} = a text")
            return default
        if not isinstance(node.value, str) or not node.value.strip():
            self._refuse(node, "a text")
            return default
        if len(node.value) > LONGEST or not node.value.isprintable():
            self._refuse(node, f"a text of one line, at most {LONGEST} characters")
        return node.value

    def _many(self, node: Node) -> tuple[str, ...]:
        if node.value is None:
            return ()
        if not isinstance(node.value, list):
            self._refuse(node, "a list of texts")
            return ()
        return tuple(self._words(item, "") or "" for item in self._listed(node))

    def _listed(self, node: Node) -> list[Node]:
        if node.value is not None and not isinstance(node.value, list):
            self._refuse(node, "a list")
        values = node.value if isinstance(node.value, list) else []
        return [Node((*node.path, n), value) for n, value in enumerate(values)]

    def _whole(self, node: Node, default: int, least: int, most: int) -> int:
        if node.value is None:
            return default
        if type(node.value) is not int or not least <= node.value <= most:
            self._refuse(node, f"a whole number from {least} to {most}")
            return default
        return node.value

    def _one_of(self, node: Node, words: Sequence[str], default: str) -> str:
        if node.value is None:
            return default
        if node.value not in words:
            self._refuse(node, " or ".join(f'"{word}"' for word in words))
            return default
        return str(node.value)

    def _yes(self, node: Node, *, default: bool) -> bool:
        if node.value is None:
            return default
        if not isinstance(node.value, bool):
            self._refuse(node, "true or false")
            return default
        return node.value
