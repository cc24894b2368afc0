"""From the bytes of a file to its tables, bounded and with the place of every complaint."""

from __future__ import annotations

import os
from pathlib import Path as FilePath
from typing import Any

import tomli

from asleft.equipment.errors import Complaint, EquipmentError, EquipmentErrors, described, dotted, printable
from asleft.equipment.nodes import Node
from asleft.equipment.positions import Positions

LARGEST = 2_000_000
"""Bytes of the largest file that is read."""

MOST_IN_A_LIST = 500
MOST_VALUES = 20_000
DEEPEST = 16
"""Bounds far above any real unit, so that a hostile file costs little."""

FORMAT = 1


def read_bounded(path: str | os.PathLike[str]) -> bytes:
    """The bytes of a file, at most one more than the largest that is read. Raises OSError."""
    with FilePath(path).open("rb") as file:
        return file.read(LARGEST + 1)


def read_toml(data: bytes, name: str) -> tuple[str, dict[str, Any]]:
    """The text of a file and its tables, checked for format and size alone. Raises EquipmentErrors."""
    text = _decoded(data, name)
    try:
        raw = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        found = f"a line that is not TOML ({printable(error.msg, 200)})"
        raise _one(name, error.lineno, error.colno, "", found, "valid TOML 1.0") from None
    except RecursionError:
        raise _one(name, 1, 1, "", "tables or lists nested too deeply", f"at most {DEEPEST} levels") from None
    except ValueError as error:
        raise _one(
            name, 1, 1, "", f"a value out of bounds ({printable(str(error), 80)})", "plain values"
        ) from None
    too_much = _too_much(raw)
    if too_much is not None:
        raise located([too_much], text, name)
    version = raw.get("format")
    if type(version) is not int or version != FORMAT:
        raise located([Complaint(("format",), described(version), f"format = {FORMAT}")], text, name)
    return text, raw


def located(found: list[Complaint], text: str, name: str) -> EquipmentErrors:
    """Give complaints their places and put them in the order of the file, each said once."""
    places = Positions(text, (complaint.path for complaint in found))
    errors = {
        EquipmentError(
            name,
            *(places.key(complaint.path) if complaint.at_key else places.value(complaint.path)),
            dotted(complaint.path),
            complaint.found,
            complaint.expected,
        ): None
        for complaint in found
    }
    return EquipmentErrors(sorted(errors, key=lambda error: (error.line, error.column)))


def _one(name: str, line: int, column: int, field: str, found: str, expected: str) -> EquipmentErrors:
    return EquipmentErrors([EquipmentError(name, line, column, field, found, expected)])


def _decoded(data: bytes, name: str) -> str:
    if len(data) > LARGEST:
        raise _one(name, 1, 1, "", "a file too large", f"at most {LARGEST // 1_000_000} MB")
    if data.startswith(b"\xef\xbb\xbf"):
        raise _one(name, 1, 1, "", "a byte order mark", "UTF-8 without one")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
        found = f"the byte 0x{data[error.start]:02x}"
        raise _one(name, line, column, "", found, "text in UTF-8") from None


def _too_much(raw: dict[str, Any]) -> Complaint | None:
    waiting: list[Node] = [Node((), raw)]
    values = 0
    while waiting:
        node = waiting.pop()
        if not isinstance(node.value, dict | list):
            continue
        if len(node.path) > DEEPEST:
            return Complaint(
                node.path[:DEEPEST], "tables or lists nested too deeply", f"at most {DEEPEST} levels"
            )
        values += len(node.value)
        if isinstance(node.value, list) and len(node.value) > MOST_IN_A_LIST:
            return Complaint(node.path, f"a list of {len(node.value)}", f"a list of at most {MOST_IN_A_LIST}")
        if values > MOST_VALUES:
            return Complaint((), "too many values", f"a file of at most {MOST_VALUES} values")
        pairs = enumerate(node.value) if isinstance(node.value, list) else node.value.items()
        waiting.extend(Node((*node.path, key), value) for key, value in pairs)
    return None
