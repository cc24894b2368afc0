"""The keys of a drill sheet, one after another; everything that is wrong is said at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from asleft.equipment.errors import Complaint, described, nearest, printable
from asleft.equipment.nodes import Node
from asleft.installation.faults import FAULTS, Fault

MOST_MINUTES = 480
HANDS = ("set", "own")
"""Whether an instrument is set and placed as the row asks, or by the trainee's own hands."""
LONGEST = 400
"""Characters of a title, an aim or a hint, as of any text that a session holds."""
MOST_LINES = 400
MOST_FAULTS = 12


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drill as a trainer wrote it, or a seed drew it. `text` is what is promised and revealed."""

    text: str
    title: str
    level: int
    unit: str
    seed: int
    faults: tuple[Fault, ...]
    aims: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    minutes: int = 0
    hands: str = "own"
    warned: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """The text by its lines."""
        return tuple(self.text.split("\n"))


class Reading:
    """The keys of a sheet, one after another; what is wrong with any is kept, and reading goes on."""

    _KNOWN = (
        "format",
        "title",
        "level",
        "unit",
        "seed",
        "minutes",
        "aims",
        "hints",
        "hands",
        "warned",
        "fault",
    )
    _OF_A_FAULT = ("kind", "size", "where")

    def __init__(self, raw: dict[str, Any], text: str) -> None:
        self._top, self._text = Node((), raw), text
        self.wrong: list[Complaint] = []

    def sheet(self) -> Sheet:
        """The sheet as far as it can be read."""
        top = self._top
        if self._text.count("\n") > MOST_LINES:
            self.wrong.append(Complaint((), "a sheet too long", f"at most {MOST_LINES} lines"))
        self._strangers(top, self._KNOWN)
        faults = tuple(self._fault(node) for node in self._listed(top.child("fault")))
        if len(faults) > MOST_FAULTS:
            self.wrong.append(Complaint(("fault",), f"{len(faults)} faults", f"at most {MOST_FAULTS}"))
        return Sheet(
            self._text,
            self._words(top.child("title"), "") or "",
            self._whole(top.child("level"), max(1, min(3, len(faults))), 1, 3),
            self._words(top.child("unit"), "") or "",
            self._whole(top.child("seed"), 1, 0, 999_999_999_999),
            faults,
            self._many(top.child("aims")),
            self._many(top.child("hints")),
            self._whole(top.child("minutes"), 0, 1, MOST_MINUTES),
            self._one_of(top.child("hands"), HANDS, "own"),
            self._yes(top.child("warned"), default=False),
        )

    def _fault(self, node: Node) -> Fault:
        if not isinstance(node.value, dict):
            self._refuse(node, "a table with kind, size and where")
            return Fault("")
        self._strangers(node, self._OF_A_FAULT)
        kind = self._words(node.child("kind"), "") or ""
        if kind and kind not in FAULTS:
            self._refuse(node.child("kind"), nearest(kind, FAULTS))
        size, found = 1.0, node.child("size")
        match found.value:
            case None:
                pass
            case int() | float() as given if not isinstance(given, bool) and 0.0 < given <= 1.0:
                size = float(given)
            case _:
                self._refuse(found, "a size above 0, at most 1")
        where = self._words(node.child("where"), "") if node.child("where").value != "" else ""
        return Fault(kind, size, where or "")

    # ---- shapes

    def _refuse(self, node: Node, expected: str) -> None:
        self.wrong.append(Complaint(node.path, described(node.value), expected))

    def _strangers(self, node: Node, known: Sequence[str]) -> None:
        for child in node.items():
            key = str(child.path[-1])
            if key not in known:
                self.wrong.append(
                    Complaint(child.path, f"a key {printable(key)}", nearest(key, known), at_key=True)
                )

    def _words(self, node: Node, default: str | None) -> str | None:
        key = node.path[-1]
        if node.value is None:
            if key in ("title", "unit", "kind"):
                self._refuse(node, f"{key} = a text")
            return default
        if not isinstance(node.value, str) or not node.value.strip():
            self._refuse(node, "a text")
            return default
        if len(node.value) > LONGEST or not node.value.isprintable():
            self._refuse(node, f"a text of one line, at most {LONGEST} characters")
        return node.value

    def _many(self, node: Node) -> tuple[str, ...]:
        if node.value is None:
            return ()
        if not isinstance(node.value, list):
            self._refuse(node, "a list of texts")
            return ()
        return tuple(self._words(item, "") or "" for item in self._listed(node))

    def _listed(self, node: Node) -> list[Node]:
        if node.value is not None and not isinstance(node.value, list):
            self._refuse(node, "a list")
        values = node.value if isinstance(node.value, list) else []
        return [Node((*node.path, n), value) for n, value in enumerate(values)]

    def _whole(self, node: Node, default: int, least: int, most: int) -> int:
        if node.value is None:
            return default
        if type(node.value) is not int or not least <= node.value <= most:
            self._refuse(node, f"a whole number from {least} to {most}")
            return default
        return node.value

    def _one_of(self, node: Node, words: Sequence[str], default: str) -> str:
        if node.value is None:
            return default
        if node.value not in words:
            self._refuse(node, " or ".join(f'"{word}"' for word in words))
            return default
        return str(node.value)

    def _yes(self, node: Node, *, default: bool) -> bool:
        if node.value is None:
            return default
        if not isinstance(node.value, bool):
            self._refuse(node, "true or false")
            return default
        return node.value
