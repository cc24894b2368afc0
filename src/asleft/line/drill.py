"""`asleft drill`: the ready lessons, a trainer's key, a new sheet, a debrief, drills played by themselves."""

from __future__ import annotations

import os
import secrets
from collections.abc import Sequence
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.sheet import FindUnit, Staged, drawn, ready, stage
from asleft.line.text import complain, dumped, plain, say, say_all, wrapped

if TYPE_CHECKING:
    from asleft.drill.answers import RigError
    from asleft.drill.classroom.register import Register
    from asleft.equipment.model import EquipmentFile

FINE, REFUSED = 0, 2
SECRET_BYTES = 32
REGISTER = ".register.jsonl"


def list_lessons(*, as_json: bool) -> int:
    """Print the lessons that come with the program."""
    found = ready()
    if as_json:
        say(dumped({"lessons": [lesson._asdict() for lesson in found]}))
        return FINE
    for lesson in found:
        say(f"{lesson.name}: {lesson.title}")
        say(f"  level {lesson.level}, {lesson.unit}, {lesson.minutes} minutes, {lesson.hints} hints")
        say_all(wrapped(f"- {aim}", "  ") for aim in lesson.aims)
    say("")
    say("asleft drill NAME begins one; so does a sheet of your own, or --seed N --level L.")
    return FINE


def staged_for(
    sheet: str | None, seed: int | None, level: int, unit: EquipmentFile | None, find_unit: FindUnit
) -> Staged:
    """The drill that was asked for: by a sheet, or by seed, level and unit."""
    if sheet is not None:
        return stage(sheet, find_unit)
    assert unit is not None
    return drawn(seed or 0, level, unit)


def key(wanted: Staged, *, as_json: bool) -> int:
    """Print the trainer's key."""
    from asleft.drill.classroom.key import Key
    from asleft.drill.classroom.reference import reference

    found = Key(wanted, reference(wanted))
    if as_json:
        say(dumped(found.as_mapping()))
    else:
        _print(list(found.lines()))
    return FINE


def new(unit: EquipmentFile, seed: int, out: Path | None) -> int:
    """Print a new sheet, or write it to a file that is not there yet. Raises OSError."""
    from asleft.drill.classroom.new_sheet import new_sheet
    from asleft.drill.site import site

    text = new_sheet(unit.equipment, site(seed, unit.equipment))
    if out is None:
        say(text.rstrip("\n"))
        return FINE
    with out.open("x", encoding="utf-8", newline="\n") as file:
        file.write(text)
    say(plain(str(out)))
    return FINE


def debrief(path: Path, *, as_json: bool) -> int:
    """Print what came of a finished drill. Raises NotADrill, and what reading raises."""
    from asleft.drill.classroom.debrief import as_mapping
    from asleft.drill.classroom.ended import ended
    from asleft.journal import read
    from asleft.line.reading import verified

    verified(path)
    contents = read(path)
    over = ended(contents.events, _own_unit(contents.equipment_text))
    if as_json:
        say(dumped(as_mapping(over.score, over.staged, over.history)))
    else:
        _print(over.lines)
    return FINE


def _own_unit(text: str) -> EquipmentFile:
    from asleft.equipment.load import load_bytes

    return load_bytes(text.encode(), "the session's equipment")


def _print(lines: Sequence[str]) -> None:
    for line in lines:
        indent = line[: len(line) - len(line.lstrip())]
        say(wrapped(line.strip(), indent) if line.strip() else "")


def secret() -> bytes:
    """What the salts of this machine's drills are made with; made once, readable by its owner alone.

    Raises OSError.
    """
    from asleft.settings.places import state_folder
    from asleft.settings.whole import write_new

    path = state_folder() / "drill-secret"
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.exists():
        # Made whole under another name first: twenty drills may begin in the same second.
        made = path.with_name(f"{path.name}-{secrets.token_hex(4)}")
        write_new(made, secrets.token_bytes(SECRET_BYTES))
        with suppress(FileExistsError):
            os.link(made, path)
        made.unlink()
    return path.read_bytes()


def register(sheet: Path | None, name: str) -> Register:
    """Where a rig remembers the drills of a sheet: beside it, else in the program's own folder.

    The own folder takes the drills of a ready lesson or a seed, called `name`, and of a sheet whose folder
    cannot be written, which is said. A register that is there already is never left for another: what it
    remembers would be forgotten. Raises RigError where none can be written.
    """
    from asleft.drill.classroom.register import Register
    from asleft.settings.places import state_folder

    if sheet is not None:
        beside = sheet.with_suffix(REGISTER)
        try:
            return Register(beside)
        except OSError as error:
            if beside.exists():
                raise _no_register(beside, error) from error
        name = f"{sheet.stem}-{sha256(os.fsencode(sheet)).hexdigest()[:12]}"
    own = state_folder() / "registers" / f"{name}{REGISTER}"
    if sheet is not None:
        complain(f"The folder of {plain(str(sheet))} cannot be written; the register is {plain(str(own))}.")
    try:
        own.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        return Register(own)
    except OSError as error:
        raise _no_register(own, error) from error


def _no_register(path: Path, error: OSError) -> RigError:
    from asleft.drill.answers import RigError

    why = (error.strerror or str(error)).lower()
    return RigError(f"No drill is served without its register, and {path} cannot be written: {why}.")


def told_of(played: Any) -> dict[str, Any]:
    """A drill played by itself, for a script."""
    return {
        "file": str(played.path),
        "seed": played.staged.sheet.seed,
        "level": played.staged.sheet.level,
        "unit": played.staged.sheet.unit,
        "faults": [{"kind": f.kind, "size": f.size, "where": f.where} for f in played.staged.sheet.faults],
        "outcome": played.outcome,
        "events": played.events,
        "score": played.score.total,
        "failed": sorted(played.failed),
        "why": played.why,
    }
