"""The units and instruments that are known: those that come with the program, and a person's own folder.

Listing needs no model, so that a home screen does not wait for one: models are imported to load a file.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from asleft.equipment.errors import Complaint, EquipmentError, EquipmentErrors, described, nearest, printable
from asleft.equipment.nodes import Node
from asleft.equipment.reading import located, read_bounded, read_toml
from asleft.equipment.repeats import ids_twice

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile, Instrument

INSTRUMENTS = "instruments.toml"
"""The file of instruments that stands beside the units."""

DEFAULT = "default.txt"
"""Beside this file: the id of the unit for whoever asks for none."""


class Known(NamedTuple):
    """A unit on offer. ``trouble`` says in one line why its file cannot even be listed, else it is None."""

    id: str
    title: str
    path: Path
    trouble: str | None = None


class UnknownUnit(LookupError):
    """No unit of this id, and no file of this name."""

    def __init__(self, wanted: str, known: list[str]) -> None:
        self.wanted = wanted
        self.known = tuple(known)
        close = nearest(wanted, known)
        super().__init__(f"no equipment {described(wanted)}: expected the path of a file, or {close}")


def shipped() -> Path:
    """The folder of demo files: package data, or the repository's in a source checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "_units"
    return inside if inside.is_dir() else package.parents[1] / "equipment"


def units(folder: str | os.PathLike[str] | None = None) -> list[Known]:
    """The units on offer, those of ``folder`` after those that come with the program, each folder by id.

    Only the data plate is looked at; a file that cannot be read is listed with its trouble.
    """
    return [known for place in _places(folder) for known in sorted(_known(path) for path in _files(place))]


def default() -> str:
    """The id of the unit for whoever asks for none. Raises OSError."""
    return Path(__file__).with_name(DEFAULT).read_text("utf-8").strip()


def find(wanted: str, folder: str | os.PathLike[str] | None = None) -> EquipmentFile:
    """The unit of this id, or in the file of this name.

    A person's own unit comes before one of the same id that comes with the program. The file that is named
    after the id is looked at before all others of its folder, so that most are never read. Raises
    UnknownUnit, EquipmentErrors, OSError.
    """
    from asleft.equipment.load import load

    for place in reversed(_places(folder)):
        for path in sorted(_files(place), key=lambda path: (path.stem != wanted, path)):
            known = _known(path)
            if known.id == wanted and known.trouble is None:
                return load(path)
    if _is_path(wanted):
        return load(wanted)
    raise UnknownUnit(wanted, [known.id for known in units(folder)])


def instruments(path: str | os.PathLike[str] | None = None) -> tuple[Instrument, ...]:
    """The instruments of a file, by default the demo instruments. Raises EquipmentErrors, OSError."""
    from asleft.equipment.load import validated
    from asleft.equipment.model import Instrument

    source = Path(path) if path is not None else shipped() / INSTRUMENTS
    name = os.fspath(source)
    text, raw = read_toml(read_bounded(source), name)
    root = Node((), raw)
    found = [
        Complaint((key,), f'the key "{printable(key)}"', "format or instrument", at_key=True)
        for key in raw
        if key not in ("format", "instrument")
    ]
    read = []
    entries = root.child("instrument")
    if not isinstance(entries.value, list) or not entries.value:
        found.append(Complaint(entries.path, described(entries.value), "at least one table [[instrument]]"))
    for index, entry in enumerate(entries.value if isinstance(entries.value, list) else []):
        instrument, complaints = validated(Instrument, entry, ("instrument", index))
        found.extend(complaints)
        if instrument is not None:
            read.append(instrument)
    found.extend(ids_twice(root.tables("instrument")))
    if found:
        raise located(found, text, name)
    return tuple(read)


def _places(folder: str | os.PathLike[str] | None) -> list[Path]:
    return [shipped()] + ([Path(folder)] if folder is not None else [])


def _files(place: Path) -> list[Path]:
    return [path for path in place.glob("*.toml") if path.name != INSTRUMENTS]


def _is_path(wanted: str) -> bool:
    if "\0" in wanted or not wanted:
        return False
    return wanted.endswith(".toml") or os.sep in wanted or os.path.exists(wanted)


def _known(path: Path) -> Known:
    try:
        _, raw = read_toml(read_bounded(path), path.name)
    except EquipmentErrors as errors:
        return Known(path.stem, path.name, path, str(errors.errors[0]))
    except OSError as error:
        return Known(path.stem, path.name, path, error.strerror or str(error))
    plate = Node((), raw).child("unit")
    unit_id, maker, model = (plate.text(key) for key in ("id", "maker", "model"))
    if unit_id is None or maker is None or model is None:
        missing = EquipmentError(path.name, 1, 1, "unit", "no whole data plate", "id, maker and model")
        return Known(path.stem, path.name, path, str(missing))
    return Known(unit_id, printable(f"{maker} {model}", 120), path)
