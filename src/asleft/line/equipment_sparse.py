"""A sparse equipment file: written out with comments, and what it is good for so far."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import tomli_w

from asleft.equipment.errors import described
from asleft.line.equipment_parts import ROLE, ROOT, alternatives, rests, sections

_HEAD = """\
# {title}: begun from the data plate. What the maker does not say is left out, never guessed;
# a key behind a # waits for its figure. What each means: asleft equipment explain PART.
# Whether all is right: asleft equipment check FILE. For an editor that completes and checks:
# asleft equipment schema > asleft-equipment.schema.json, and here as the first line
# #:schema ./asleft-equipment.schema.json
"""


class Want(NamedTuple):
    """A figure to look up and the checks that wait for it."""

    field: str
    checks: tuple[str, ...]


def as_toml(raw: Mapping[str, Any], notes: Mapping[tuple[str, object], str] | None = None) -> str:
    """The file as text, each part under what it is, each figure still to come behind a #.

    ``notes`` gives a comment for a value of a field.
    """
    plate = raw.get("unit", {})
    lines = [
        *_HEAD.format(title=_comment(f"{plate.get('maker', '')} {plate.get('model', '')}")).splitlines(),
        f"format = {raw.get('format', 1)}",
    ]
    absent = []
    for name, part in sections().items():
        if name == ROOT or part.inside:
            continue
        if name in raw:
            lines += _tables(name, raw[name], notes or {})
        else:
            absent.append(part.table)
    lines += ["", f"# Not here yet: {', '.join(absent)}"]
    return "\n".join(lines) + "\n"


def _tables(name: str, found: Any, notes: Mapping[tuple[str, object], str]) -> Iterator[str]:
    part = sections()[name]
    inner = [s.name for s in sections().values() if s.inside == name]
    for table in found if isinstance(found, list) else [found]:
        yield ""
        yield f"# {part.description}"
        yield part.table
        missing = []
        for entry in part.fields:
            if entry.key in table:
                if entry.name not in inner:
                    value = table[entry.key]
                    yield f"{entry.key} = {_value(value)}{_note(entry.name, value, notes)}"
            elif entry.name not in inner:
                default = "" if entry.default is None else f"; without it {described(entry.default)}"
                missing.append(f"# {entry.key} =  # {entry.description}{default}")
        yield from missing
        for below in inner:
            key = below.rpartition(".")[2]
            if key in table:
                yield from _tables(below, table[key], notes)


def _note(name: str, value: object, notes: Mapping[tuple[str, object], str]) -> str:
    if not isinstance(value, str) or (name, value) not in notes:
        return ""
    return f"  # {_comment(notes[name, value])}"


def _comment(text: str) -> str:
    """Text that stays on its comment line."""
    return "".join(sign if sign.isprintable() else "?" for sign in text).strip()


def _value(value: Any) -> str:
    if isinstance(value, list):
        if value and isinstance(value[0], list):
            return "[\n" + "".join(f"  {_value(row)},\n" for row in value) + "]"
        return f"[{', '.join(map(_value, value))}]"
    return tomli_w.dumps({"k": value}).partition("=")[2].strip()


def possible(raw: Mapping[str, Any]) -> tuple[str, ...]:
    """The checks that find in the file all they need, in the order of their list."""
    return tuple(id for id, told in rests().items() if all(_there(raw, need) for need in told["needs"]))


def wanted(raw: Mapping[str, Any]) -> tuple[Want, ...]:
    """What to look up next, most wanted first; a check waits for the first figure that it misses."""
    waiting: dict[str, list[str]] = {}
    for id, told in rests().items():
        missing = [need for need in told["needs"] if not _there(raw, need)]
        if missing:
            waiting.setdefault(missing[0], []).append(id)
    return tuple(
        Want(need, tuple(ids)) for need, ids in sorted(waiting.items(), key=lambda pair: -len(pair[1]))
    )


def _there(raw: Mapping[str, Any], need: str) -> bool:
    if need.startswith(ROLE):
        return any(topic.get("role") == need.removeprefix(ROLE) for topic in raw.get("topic", ()))
    return any(_holds(raw, name.split(".")) for name in alternatives(need))


def _holds(found: Any, path: list[str]) -> bool:
    if isinstance(found, list):
        return any(_holds(each, path) for each in found)
    if not path:
        return True
    return isinstance(found, Mapping) and path[0] in found and _holds(found[path[0]], path[1:])
