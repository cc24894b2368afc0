"""A tolerant view of the file as written: what is there in the right shape is given, all else is passed over.

The models refuse wrong shapes; with this view the references of a file can be followed in the same pass, so
that a person sees everything wrong at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from asleft.equipment.errors import Path
from asleft.quantity import QuantityError, parse


class Node(NamedTuple):
    """A value of the file and its path."""

    path: Path
    value: object

    def child(self, key: str) -> Node:
        """What stands under a key; its value is None where nothing does."""
        found = self.value.get(key) if isinstance(self.value, dict) else None
        return Node((*self.path, key), found)

    def at(self, path: Path) -> Node:
        """What stands at a path under this node; its value is None where nothing does."""
        here = self
        for part in path:
            if isinstance(part, str):
                here = here.child(part)
            else:
                listed = here.value if isinstance(here.value, list) else []
                here = Node((*here.path, part), listed[part] if part < len(listed) else None)
        return here

    def items(self) -> Iterator[Node]:
        """Every key of a table, in file order."""
        if isinstance(self.value, dict):
            for key, value in self.value.items():
                yield Node((*self.path, key), value)

    def tables(self, key: str) -> list[Node]:
        """The tables of a list under a key."""
        child = self.child(key)
        if not isinstance(child.value, list):
            return []
        return [
            Node((*child.path, index), value)
            for index, value in enumerate(child.value)
            if isinstance(value, dict)
        ]

    def texts(self, key: str) -> list[tuple[Node, str]]:
        """The strings of a list under a key; a single string counts as a list of one."""
        child = self.child(key)
        if isinstance(child.value, str):
            return [(child, child.value)]
        if not isinstance(child.value, list):
            return []
        return [
            (Node((*child.path, index), value), value)
            for index, value in enumerate(child.value)
            if isinstance(value, str)
        ]

    def names(self, key: str) -> list[str]:
        """The strings of a list under a key, without their paths."""
        return [text for _, text in self.texts(key)]

    def text(self, key: str) -> str | None:
        """The string under a key."""
        value = self.child(key).value
        return value if isinstance(value, str) else None

    def quantity(self, key: str, kind: str) -> float | None:
        """The quantity under a key in its base unit, where it can be read."""
        found = self.text(key)
        if found is None:
            return None
        try:
            return parse(found, kind).value
        except QuantityError:
            return None

    def ids(self, key: str) -> list[str]:
        """The ids of the tables of a list under a key."""
        return [found for table in self.tables(key) if (found := table.text("id")) is not None]
