"""What may stand only once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from asleft.equipment.errors import Complaint, described
from asleft.equipment.nodes import Node


def twice(found: Iterable[tuple[Node, str]], what: str) -> Iterator[Complaint]:
    """Complain of every value that stood before."""
    seen = set()
    for node, value in found:
        if value in seen:
            yield Complaint(node.path, f"{described(value)} a second time", f"{what} that stands only once")
        seen.add(value)


def ids_twice(tables: Iterable[Node], key: str = "id") -> Iterator[Complaint]:
    """Complain of every id that an earlier table of the list has."""
    yield from twice(
        ((table.child(key), found) for table in tables if (found := table.text(key)) is not None), f"a {key}"
    )
