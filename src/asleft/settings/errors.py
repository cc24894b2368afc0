"""What can be wrong with settings, said so that a person can mend it."""

from __future__ import annotations


class SettingError(ValueError):
    """One thing wrong. `file` is empty and `line` is 0 where it was typed and did not come from a file."""

    def __init__(self, field: str, found: str, expected: str, *, file: str = "", line: int = 0) -> None:
        self.field, self.found, self.expected = field, found, expected
        self.file, self.line = file, line
        where = f"{file}:{line}: " if file and line else f"{file}: " if file else ""
        super().__init__(f"{where}{f'{field}: ' if field else ''}found {found}, expected {expected}")

    def at(self, file: str, line: int) -> SettingError:
        """The same, with the place where it stands."""
        return SettingError(self.field, self.found, self.expected, file=file, line=line)


class NotSaved(OSError):
    """Settings could not be put on disk; `str()` is the whole story in one sentence."""
