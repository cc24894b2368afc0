"""Equipment files from the command line: which units there are, what one says, whether a file is right."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import Any, TextIO

from asleft.equipment.errors import EquipmentError, EquipmentErrors, printable
from asleft.equipment.library import UnknownUnit, find, units
from asleft.line.text import dumped, say
from asleft.line.unit_page import unit_page

FINE = 0
WRONG = 1
REFUSED = 2
COULD_NOT = 3


def run(options: Namespace, folder: Path) -> int:
    """Do what was asked of the units in a person's folder and of equipment files, and give the exit code."""
    match options.what:
        case "list":
            return list_units(options.json, folder=str(folder))
        case "show":
            return show_unit(options.unit, options.json, folder=str(folder), system=options.units)
        case "schema":
            return print_schema()
        case "new":
            from asleft.line.equipment_new import run as begin

            return begin(options.out, as_json=options.json, folder=folder)
        case "explain":
            return explain(options.part, options.json)
        case _:
            return check_files(options.files, options.json)


def list_units(as_json: bool = False, *, folder: str | None = None, out: TextIO | None = None) -> int:
    """Print every unit on offer. Gives 0, or 3 where a folder cannot be read."""
    on_offer = units(folder)
    if as_json:
        entries = [
            {"id": known.id, "title": known.title, "file": os.fspath(known.path), "trouble": known.trouble}
            for known in on_offer
        ]
        say(dumped({"units": entries}), out)
        return FINE
    width = max((len(printable(known.id)) for known in on_offer), default=0)
    for known in on_offer:
        trouble = "" if known.trouble is None else f" — cannot be used: {known.trouble}"
        say(f"{printable(known.id).ljust(width)}  {printable(known.title, 120)}{trouble}", out)
    if not on_offer:
        say("no units", out)
    return FINE


def show_unit(
    wanted: str,
    as_json: bool = False,
    *,
    folder: str | None = None,
    system: str = "ip",
    out: TextIO | None = None,
    err: TextIO | None = None,
) -> int:
    """Print one unit, by id or by file, as a page or as JSON in base units.

    Gives 0; 1 where its file is wrong; 2 where there is no such unit; 3 where its file cannot be read.
    """
    try:
        found = find(wanted, folder)
    except UnknownUnit as error:
        say(str(error), err or sys.stderr)
        return REFUSED
    except EquipmentErrors as errors:
        say(str(errors), err or sys.stderr)
        return WRONG
    except OSError as error:
        say(_unreadable(wanted, error), err or sys.stderr)
        return COULD_NOT
    if as_json:
        whole = found.equipment.model_dump(mode="json")
        say(dumped({"file": found.name, "sha256": found.sha256, "equipment": whole}), out)
    else:
        say(unit_page(found.equipment, system), out)
    return FINE


def check_files(
    paths: Sequence[str], as_json: bool = False, *, out: TextIO | None = None, err: TextIO | None = None
) -> int:
    """Say of each file everything that is wrong with it, and of one that is right everything odd in it.

    Gives 0 where all are right, odd or not, 1 where one is wrong, 2 where none is named, 3 where one cannot
    be read.
    """
    if not paths:
        say("equipment check: name at least one file", err or sys.stderr)
        return REFUSED
    code, reports = FINE, []
    for path in paths:
        report, line = _checked(path)
        reports.append(report)
        if "unreadable" in report:
            code = COULD_NOT
        elif not report["fine"]:
            code = max(code, WRONG)
        if not as_json:
            say(line, (err or sys.stderr) if "unreadable" in report else out)
    if as_json:
        say(dumped({"files": reports}), out)
    return code


def explain(
    part: str | None, as_json: bool = False, *, out: TextIO | None = None, err: TextIO | None = None
) -> int:
    """Print what a part of an equipment file means, or which parts there are. Gives 0; 2 for no such part."""
    from asleft.line.equipment_explain import UnknownPart, run

    try:
        return run(part, as_json=as_json, out=out)
    except UnknownPart as error:
        say(f"asleft: {error}", err or sys.stderr)
        return REFUSED


def print_schema(*, out: TextIO | None = None) -> int:
    """Print the JSON Schema of an equipment file, byte for byte as the copy that comes with the program."""
    from asleft.equipment.schema import schema

    say(dumped(schema()), out)
    return FINE


def _checked(path: str) -> tuple[dict[str, Any], str]:
    from asleft.equipment.load import load
    from asleft.equipment.oddities import oddities

    report: dict[str, Any] = {"file": path, "fine": False, "errors": [], "warnings": []}
    try:
        file = load(path)
    except EquipmentErrors as errors:
        return {**report, "errors": [_entry(error) for error in errors.errors]}, str(errors)
    except (OSError, ValueError) as error:
        reason = _unreadable(path, error)
        return {**report, "unreadable": reason}, reason
    odd, plate = oddities(file), file.equipment.unit
    count = "" if not odd else f", {len(odd)} warning{'' if len(odd) == 1 else 's'}"
    fine = f"{printable(path, 200)}: fine, {plate.maker} {plate.model}{count}"
    text = "\n".join([*(oddity.said("warning") for oddity in odd), fine])
    return {**report, "fine": True, "warnings": [_entry(oddity) for oddity in odd]}, text


def _entry(error: EquipmentError) -> dict[str, Any]:
    return {key: value for key, value in error._asdict().items() if key != "file"}


def _unreadable(path: str, error: OSError | ValueError) -> str:
    why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return f"{printable(path, 200)}: cannot be read: {printable(why, 120)}"
