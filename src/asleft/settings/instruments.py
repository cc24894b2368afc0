"""The instruments to choose from, those that come with the program and a person's own, as they are listed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

from asleft.equipment.errors import EquipmentErrors
from asleft.equipment.library import INSTRUMENTS, shipped
from asleft.equipment.reading import read_bounded, read_toml
from asleft.settings.errors import SettingError
from asleft.settings.places import equipment_folder
from asleft.settings.schema import Setting, expected_of

NONE = "none of these"


class Listed(NamedTuple):
    """One instrument on offer. `own` where it stands in the person's own file."""

    id: str
    name: str
    role: str
    accuracy: tuple[str, ...]
    until: str
    own: bool

    @property
    def described(self) -> str:
        """What it reads and how well."""
        read = "; ".join(line.replace("_", " ") for line in self.accuracy) or "accuracy not known"
        return f"{read}; until {self.until}" if self.until else read


class Library(NamedTuple):
    """Every instrument on offer, a person's own first, and what could not be read."""

    listed: tuple[Listed, ...]
    trouble: str = ""

    def of(self, role: str) -> tuple[Listed, ...]:
        """Those for one role."""
        return tuple(one for one in self.listed if one.role == role)


def library() -> Library:
    """All that can be listed. A file that is wrong is left out and said."""
    listed: dict[str, Listed] = {}
    trouble = ""
    for path, own in ((equipment_folder() / INSTRUMENTS, True), (shipped() / INSTRUMENTS, False)):
        try:
            for one in _listed(path, own):
                listed.setdefault(one.id, one)
        except FileNotFoundError:
            continue
        except (EquipmentErrors, OSError) as error:
            trouble = f"{path} cannot be listed: {str(error).splitlines()[0]}."
    return Library(tuple(listed.values()), trouble)


def _listed(path: Path, own: bool) -> Iterator[Listed]:
    _, raw = read_toml(read_bounded(path), path.name)
    tables = raw.get("instrument")
    for table in tables if isinstance(tables, list) else ():
        if not isinstance(table, dict):
            continue
        id, name, role = (table.get(key) for key in ("id", "name", "role"))
        lines = table.get("accuracy", ())
        if (
            isinstance(id, str)
            and isinstance(name, str)
            and isinstance(role, str)
            and isinstance(lines, list | tuple)
        ):
            until = str(table.get("calibrated_until", ""))
            yield Listed(id, name, role, tuple(line for line in lines if isinstance(line, str)), until, own)


def known_instrument(setting: Setting, text: str, known: Library) -> str:
    """An instrument's id that is listed for its role, or an own one in full. Raises SettingError."""
    if not text or any(one.id == text for one in known.of(setting.role)):
        return text
    from asleft.equipment.errors import described

    if "|" in text:
        if wrong := _wrong_own(text, setting.role):
            raise SettingError(setting.key, described(text), wrong)
        return text
    ids = ", ".join(one.id for one in known.of(setting.role)) or "nothing listed"
    raise SettingError(setting.key, described(text), f"{expected_of(setting)} (listed: {ids})")


def _wrong_own(text: str, role: str) -> str:
    """What would be right in an own instrument, by what a visit takes; empty where it is right."""
    from asleft.equipment.accuracy import AccuracyError, parse_accuracy
    from asleft.visit.entered import MEASURES

    name, accuracy, until = ([part.strip() for part in text.split("|")] + ["", ""])[:3]
    kinds = set()
    for line in filter(None, (part.strip() for part in accuracy.split(","))):
        try:
            kinds.add(parse_accuracy(line).kind)
        except AccuracyError as error:
            return error.expected
    if not name:
        return "a name before the first |"
    if kinds and MEASURES[role] not in kinds:
        return f"an accuracy for {MEASURES[role].replace('_', ' ')}, or none where it is not known"
    try:
        return "" if not until or date.fromisoformat(until).isoformat() == until else "a day as YYYY-MM-DD"
    except ValueError:
        return "a day as YYYY-MM-DD"
