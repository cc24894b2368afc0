"""`asleft equipment explain`: the file format for those who write equipment files, part by part.

Without a part: what a file is, and a line a part with how often it is there. With a part: what it is, in
prose; then for each field a line as it could stand in a file, what it takes, what it means and which checks
it serves; then a worked example. With a field: that field alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, TextIO

from asleft.equipment.errors import described, nearest
from asleft.line.equipment_parts import Entry, Section, intro, sections
from asleft.line.text import dumped, say, say_all, wrapped

_INDENT = " " * 6


class UnknownPart(LookupError):
    """No part or field of this name."""


def run(wanted: str | None, *, as_json: bool, out: TextIO | None = None) -> int:
    """Print the parts, or one part, or one field. Gives 0. Raises UnknownPart."""
    if wanted is None:
        if as_json:
            say(dumped({"parts": [as_mapping(section) for section in sections().values()]}), out)
        else:
            say_all(_list(), out)
        return 0
    section, entry = find(wanted)
    if as_json:
        say(dumped(as_mapping(section) if entry is None else _field(entry)), out)
    elif entry is None:
        say_all(_page(section), out)
    else:
        say_all(
            [f"A field of {section.name}, {section.table or 'outside every table'}.", "", *_entry(entry)], out
        )
    return 0


def find(wanted: str) -> tuple[Section, Entry | None]:
    """The part or field meant: by whole name, or by a last word that is its alone. Raises UnknownPart."""
    name = wanted.strip("[] ").casefold()
    parts = sections()
    fields = {entry.name: (section, entry) for section in parts.values() for entry in section.fields}
    if name in parts:
        return parts[name], None
    if name in fields:
        return fields[name]
    short = [part for part in parts if part.rpartition(".")[2] == name]
    if len(short) == 1:
        return parts[short[0]], None
    short = short or [field for field in fields if field.rpartition(".")[2] == name]
    if len(short) == 1:
        return fields[short[0]]
    if short:
        raise UnknownPart(f"{described(name)} stands in several parts: say one of {', '.join(short)}.")
    last = {whole.rpartition(".")[2]: whole for whole in (*fields, *parts)}
    close = nearest(name, [*parts, *fields, *last])
    if close.startswith("one of"):
        close = "one of " + ", ".join(part for part in parts if "." not in part)
    raise UnknownPart(f"no part {described(wanted)} of an equipment file: expected {close}")


def _list() -> list[str]:
    rows = [("part", "there", "")]
    rows += [(s.name, _there(s), _first(s.description)) for s in sections().values()]
    name, there = (max(len(row[column]) for row in rows) for column in (0, 1))
    return [
        *_prose(intro()),
        "",
        *(f"{row[0]:{name}}  {row[1]:{there}}  {row[2]}".rstrip() for row in rows),
        "",
        "asleft equipment explain PART tells one part in full, with every field and an example.",
    ]


def _first(text: str) -> str:
    """Its first sentence, or what stands before a colon in it."""
    return re.split(r"(?<=\.) |: |, (?=with|in steps)", text)[0].rstrip(".")


def _there(section: Section) -> str:
    if section.compulsory:
        there = "one or more" if section.many else "one"
    else:
        there = "any number" if section.many else "one or none"
    return there if not section.inside else f"{there} in each {section.inside.rpartition('.')[2]}"


def _page(section: Section) -> Iterator[str]:
    where = f"{section.table}, {_there(section)}" if section.table else "outside every table"
    yield f"{section.name}: {where}"
    yield wrapped(section.description)
    yield ""
    yield from _prose(section.prose)
    yield ""
    used = _used(section.needed_by, section.used_by)
    if used:
        yield wrapped(f"The part as a whole is {used}.")
        yield ""
    for entry in section.fields:
        yield from _entry(entry)
    more = [s.name for s in sections().values() if s.inside == section.name]
    if more:
        yield ""
        yield f"Inside it: {', '.join(more)}"
    yield ""
    yield "An example:"
    yield from (f"    {line}".rstrip() for line in section.example.splitlines())
    yield from _checks(section)


def _checks(section: Section) -> Iterator[str]:
    """The checks that the page names, with their titles."""
    from asleft.checks.catalogue import catalogue

    every: tuple[Section | Entry, ...] = (section, *section.fields)
    named = {id for part in every for id in (*part.needed_by, *part.used_by)}
    titles = [f"{rule.id} {rule.title}" for rule in catalogue() if rule.id in named]
    if titles:
        yield ""
        yield wrapped(f"Checks: {'; '.join(titles)}.")


def _used(needed_by: tuple[str, ...], used_by: tuple[str, ...]) -> str:
    pairs = (("needed by", needed_by), ("used by", used_by))
    return "; ".join(f"{word} {', '.join(ids)}" for word, ids in pairs if ids)


def _entry(entry: Entry) -> Iterator[str]:
    yield f"  {entry.example}"
    compulsory = "compulsory" if entry.compulsory else "may be left out"
    default = "" if entry.default is None else f", then it is {described(entry.default)}"
    yield wrapped(f"{entry.takes}; {compulsory}{default}", _INDENT)
    yield wrapped(f"{entry.description[:1].upper()}{entry.description[1:]}.", _INDENT)
    used = _used(entry.needed_by, entry.used_by)
    if used:
        yield wrapped(f"{used[:1].upper()}{used[1:]}.", _INDENT)


def _prose(text: str) -> Iterator[str]:
    paragraphs = re.split(r"\n\s*\n", text)
    for number, paragraph in enumerate(paragraphs):
        if number:
            yield ""
        yield wrapped(" ".join(paragraph.split()))


def as_mapping(section: Section) -> dict[str, Any]:
    """One part as JSON."""
    return {
        "part": section.name,
        "table": section.table,
        "compulsory": section.compulsory,
        "many": section.many,
        "inside": section.inside or None,
        "description": section.description,
        "prose": section.prose,
        "example": section.example,
        "needed_by": list(section.needed_by),
        "used_by": list(section.used_by),
        "fields": [_field(entry) for entry in section.fields],
    }


def _field(entry: Entry) -> dict[str, Any]:
    kind = entry.kind
    return {
        "field": entry.name,
        "takes": entry.takes,
        "kind": kind,
        "compulsory": entry.compulsory,
        "default": entry.default,
        "description": entry.description,
        "example": entry.example,
        "needed_by": list(entry.needed_by),
        "used_by": list(entry.used_by),
    }
