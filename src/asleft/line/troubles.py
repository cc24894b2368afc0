"""What went wrong, in one sentence and an exit code."""

from __future__ import annotations

REFUSED, COULD_NOT = 2, 3

_GIVEN_WRONG = frozenset(
    {
        "builtins.FileNotFoundError",
        "builtins.IsADirectoryError",
        "builtins.NotADirectoryError",
        "asleft.drill.classroom.sheet.SheetErrors",
        "asleft.equipment.errors.EquipmentErrors",
        "asleft.equipment.library.UnknownUnit",
        "asleft.journal.errors.Broken",
        "asleft.journal.errors.Gone",
        "asleft.journal.errors.NewerFormat",
        "asleft.journal.errors.NotASession",
        "asleft.journal.seals.NoKey",
        "asleft.drill.classroom.ended.NotADrill",
        "asleft.line.enter.Usage",
        "asleft.line.reading.Unreadable",
        "asleft.settings.errors.SettingError",
        "asleft.visit.refusal.Refused",
    }
)
_ALL_OF_IT = frozenset({"asleft.drill.classroom.sheet.SheetErrors"})
# By name, because importing every room just to say what went wrong could itself go wrong.


def exit_code(error: Exception) -> int:
    """2 where what was given is wrong, 3 where it could not be done: disk, lock, rig, or our own mistake."""
    return REFUSED if _named(error) & _GIVEN_WRONG else COULD_NOT


def lines(error: Exception) -> list[str]:
    """The error for a person at a command line; of a sheet all that is wrong, for nothing else lists it."""
    return str(error).splitlines() if _named(error) & _ALL_OF_IT else [sentence(error)]


def _named(error: Exception) -> set[str]:
    return {f"{kind.__module__}.{kind.__qualname__}" for kind in type(error).__mro__}


def sentence(error: Exception) -> str:
    """The error for a person: ours say it themselves, the system's name a file, the rest is our mistake."""
    if type(error).__module__.startswith("asleft."):
        first, _, more = str(error).partition("\n")
        count = len(more.splitlines())
        return first + (f"; and {count} more, see asleft equipment check" if count else "")
    if isinstance(error, OSError):
        why = (error.strerror or str(error)).lower()
        return f"{error.filename}: {why}." if error.filename else f"Could not go on: {why}."
    name = type(error).__name__
    return f"Something unforeseen happened ({name}: {error}); what was saved stays saved. Please report it."
