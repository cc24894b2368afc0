"""Where each published table comes from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from asleft.tables.loading import raw_table


@dataclass(frozen=True, slots=True)
class TableSource:
    """A table's title, the publication and edition it comes from, and whether that was seen or recalled."""

    name: str
    title: str
    source: str
    edition: str
    seen: str


@cache
def table_source(name: str) -> TableSource:
    """Give the source of the table with this name."""
    raw = raw_table(name)
    return TableSource(name, raw["title"], raw["source"], raw["edition"], raw["seen"])


@cache
def table_names() -> tuple[str, ...]:
    """Name every table, in alphabetical order."""
    return tuple(sorted(path.stem for path in Path(__file__).parent.glob("*.toml")))
