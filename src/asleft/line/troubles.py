"""What went wrong, in one sentence and an exit code."""

from __future__ import annotations

REFUSED, COULD_NOT = 2, 3


def exit_code(error: Exception) -> int:
    """2 where what was given is wrong, 3 where it could not be done: disk, lock, rig, or our own mistake."""
    from asleft.drill.technician import Stuck
    from asleft.equipment.errors import EquipmentErrors
    from asleft.equipment.library import UnknownUnit
    from asleft.journal import Gone, NotASession
    from asleft.line.enter import Usage
    from asleft.line.reading import Unreadable
    from asleft.visit import Refused

    if isinstance(error, Stuck):
        return COULD_NOT
    given_wrong = (
        EquipmentErrors,
        FileNotFoundError,
        Gone,
        IsADirectoryError,
        NotADirectoryError,
        NotASession,
    )
    return (
        REFUSED if isinstance(error, (*given_wrong, Refused, UnknownUnit, Unreadable, Usage)) else COULD_NOT
    )


def sentence(error: Exception) -> str:
    """The error for a person: ours say it themselves, the system's name their file, all else is our mistake."""
    from asleft.equipment.errors import EquipmentErrors

    if isinstance(error, EquipmentErrors):
        first, more = str(error.errors[0]), len(error.errors) - 1
        return first + (f"; and {more} more, see asleft equipment check" if more else "")
    if type(error).__module__.startswith("asleft."):
        return str(error)
    if isinstance(error, OSError):
        why = (error.strerror or str(error)).lower()
        return f"{error.filename}: {why}." if error.filename else f"Could not go on: {why}."
    name = type(error).__name__
    return f"Something unforeseen happened ({name}: {error}); what was saved stays saved. Please report it."
