"""Read one table's file, once."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import tomli


class TableError(LookupError):
    """A published table has no entry for what was asked.

    ``found`` is what was asked for, ``expected`` what the table holds.
    """

    def __init__(self, why: str, *, found: str, expected: str) -> None:
        super().__init__(f"{why}; expected {expected}")
        self.why = why
        self.found = found
        self.expected = expected


@cache
def raw_table(name: str) -> dict[str, Any]:
    """Give the parsed file of the table with this name; callers turn it into something immutable."""
    return tomli.loads(Path(__file__).with_name(f"{name}.toml").read_text(encoding="utf-8"))
