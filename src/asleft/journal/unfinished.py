"""Whether the bytes after the last link line are a block that was not completely written.

A power cut in the middle of an append leaves the beginning of what would have been written, and nothing else
does. So the question is exact: could these bytes be the beginning of a block this format writes? Whole lines
are read and written again, and must come out the same; the last, partial line must be well formed as far as
it goes.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

import tomli

from asleft.journal.encode import (
    EVENT_START,
    HEADER_START,
    LINE_INDENT,
    LINES_START,
    key_lines,
    link_line,
    link_of,
)
from asleft.journal.errors import Unwritable
from asleft.journal.escapes import ESCAPES, PLAIN_RUN
from asleft.journal.shape import fits
from asleft.session.kinds import FIRST, HEADER, KINDS, LAST, Form, Key

_OPEN_STRING = re.compile(f'"{PLAIN_RUN}')
_STRING = re.compile(f'"{PLAIN_RUN}"')
_DONE_TEXTS = re.compile(f'\\[(?:"{PLAIN_RUN}", )*')
_LAST_TEXT = re.compile(f'"{PLAIN_RUN}"[,\\]]')
_BEGUN_ESCAPES = frozenset(text[:size] for text in ESCAPES.values() for size in range(1, len(text)))
_NUMBER = re.compile(r"-?(?:(?:0|[1-9]\d*)(?:\.\d*)?(?:e(?:[+-]\d*)?)?)?", re.ASCII)
_COUNT = re.compile(r"(?:0|[1-9]\d{0,18})?", re.ASCII)
# Between them they complete every beginning of a real date and time.
_TIMES = ("2111-11-11T11:11:11Z", "2111-11-10T11:11:11Z")


@dataclass(frozen=True, slots=True)
class _Exactly:
    text: str


@dataclass(frozen=True, slots=True)
class _KeyLine:
    key: Key


@dataclass(frozen=True, slots=True)
class _ListedLines:
    """Any number of strings, one a line."""


_Item = _Exactly | _KeyLine | _ListedLines


def _may_be_left_out(item: _Item) -> bool:
    return isinstance(item, _ListedLines) or (isinstance(item, _KeyLine) and item.key.optional)


# ---- a line that is all there -------------------------------------------------------------------------


def _is_whole(item: _Item, line: str) -> bool:
    if isinstance(item, _Exactly):
        return line == item.text
    if isinstance(item, _ListedLines):
        return line[:-1].startswith(LINE_INDENT) and line.endswith(",") and _same("_", line[4:-1])
    name, _, value = line.partition(" = ")
    return name == item.key.name and _same(name, value, item.key)


def _same(name: str, written: str, key: Key | None = None) -> bool:
    """Whether a value read and written again gives the same characters."""
    line = f"{name} = {written}\n"
    try:
        value = tomli.loads(line)[name]
        return fits(key or Key(name), value) and key_lines({name: value}) == line
    except (ValueError, KeyError, RecursionError, Unwritable):
        return False


# ---- a line that breaks off ---------------------------------------------------------------------------


def _begins(item: _Item, text: str, cut_character: bool) -> bool:
    """Whether text is the beginning of this line. ``cut_character``: a part of one more character follows."""
    if isinstance(item, _Exactly):
        return not cut_character and item.text.startswith(text)
    lead = LINE_INDENT if isinstance(item, _ListedLines) else f"{item.key.name} = "
    if len(text) <= len(lead):
        return not cut_character and lead.startswith(text)
    if not text.startswith(lead):
        return False
    rest = text[len(lead) :]
    if isinstance(item, _ListedLines):
        closed = not cut_character and rest.endswith('",') and _STRING.fullmatch(rest[:-1]) is not None
        return closed or _begins_string(rest, cut_character)
    return _begins_value(item.key, rest, cut_character)


def _begins_value(key: Key, text: str, cut_character: bool) -> bool:
    if key.words:
        return not cut_character and any(f'"{word}"'.startswith(text) for word in key.words)
    if key.form is Form.TEXT:
        return _begins_string(text, cut_character)
    if key.form is Form.TEXTS:
        return _begins_texts(text, cut_character)
    if key.form is Form.SCALAR and text.startswith('"'):
        return _begins_string(text, cut_character)
    if cut_character:
        return False
    if key.form is Form.NUMBERS:
        return _begins_numbers(text)
    if key.form is Form.UTC:
        return _begins_utc(text, key)
    if key.form is Form.COUNT:
        return _COUNT.fullmatch(text) is not None
    return _NUMBER.fullmatch(text) is not None or "true".startswith(text) or "false".startswith(text)


def _begins_string(text: str, cut_character: bool) -> bool:
    opened = _OPEN_STRING.match(text)
    if opened is None:
        return False
    rest = text[opened.end() :]
    return rest == "" or (not cut_character and (rest == '"' or rest in _BEGUN_ESCAPES))


def _begins_utc(text: str, key: Key) -> bool:
    inside = text[1:]
    if not text.startswith('"'):
        return False
    if inside.endswith('"'):
        return fits(key, inside[:-1])
    if inside.endswith("Z"):
        return fits(key, inside)
    if len(inside) > 19:
        return fits(key, inside + "1Z") or fits(key, inside + "Z")
    return any(fits(key, inside + time[len(inside) :]) for time in _TIMES)


def _begins_numbers(text: str) -> bool:
    if text == "[]":
        return True
    *done, last = text[1:].split(", ")
    if last.endswith((",", "]")):
        done.append(last[:-1])
        last = ""
    whole = all(item and _same("_", f"[{item}]", Key("_", Form.NUMBERS)) for item in done)
    return whole and text.startswith("[") and _NUMBER.fullmatch(last) is not None


def _begins_texts(text: str, cut_character: bool) -> bool:
    done = _DONE_TEXTS.match(text)
    if done is None:
        return False
    rest = text[done.end() :]
    if rest == "" or text == "[]" or _LAST_TEXT.fullmatch(rest):
        return not cut_character
    return _begins_string(rest, cut_character)


# ---- a block ------------------------------------------------------------------------------------------


def _event_items(number: int) -> list[_Item]:
    start: list[_Item] = [_Exactly(line) for line in EVENT_START.decode().splitlines()]
    return [*start, _Exactly(f"n = {number}"), *map(_KeyLine, FIRST[1:])]


def _header_items() -> list[_Item]:
    items: list[_Item] = [_Exactly(line) for line in HEADER_START.decode().splitlines()]
    items += map(_KeyLine, HEADER["session"])
    items += [_Exactly(""), _Exactly("[equipment]"), _KeyLine(HEADER["equipment"][0]), _Exactly(LINES_START)]
    items += [_ListedLines(), _Exactly("]"), _Exactly(""), _Exactly("[chain]")]
    return items


def unfinished_event(tail: bytes, number: int, previous_link: str) -> int | None:
    """None if ``tail`` is the beginning of event ``number`` after ``previous_link``.

    Otherwise the line of ``tail``, from 0, that could not stand there.
    """
    return _walk(tail, _event_items(number), previous_link)


def unfinished_header(data: bytes) -> int | None:
    """None if ``data`` is the beginning of a header; else the line, from 0, that could not stand there."""
    return _walk(data, _header_items(), "")


def _walk(data: bytes, items: list[_Item], previous_link: str) -> int | None:
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        text = decoder.decode(data)
    except UnicodeDecodeError as problem:
        return data.count(b"\n", 0, problem.start)
    cut_character = bool(decoder.getstate()[0])
    *lines, last = text.split("\n")
    at = 0
    for offset, line in enumerate(lines):
        while at < len(items) and not _is_whole(items[at], line):
            if not _may_be_left_out(items[at]):
                return offset
            at += 1
        if at == len(items):
            return offset
        item = items[at]
        if isinstance(item, _KeyLine) and item.key.name == "kind":
            kind = KINDS[line.partition(" = ")[2].strip('"')]
            items = [*items, *map(_KeyLine, (*kind.keys, *LAST))]
        if not isinstance(item, _ListedLines):
            at += 1
    for item in items[at:]:
        if _begins(item, last, cut_character):
            return None
        if not _may_be_left_out(item):
            return len(lines)
    content = data[: data.rfind(b"\n") + 1]
    link = link_line(link_of(previous_link, content))[:-1].decode()
    return None if link.startswith(last) and not cut_character else len(lines)
