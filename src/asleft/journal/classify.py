"""What the bytes of a session file hold, and whether they are as they were written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from types import MappingProxyType
from typing import Any

import tomli

from asleft.journal.encode import EVENT_START, FORMAT, HEADER_START, LINES_START, lines_text, link_of
from asleft.journal.errors import NotASession
from asleft.journal.escapes import RAW
from asleft.journal.shape import event_trouble, header_trouble, is_event
from asleft.journal.unfinished import unfinished_event, unfinished_header


class Chain(StrEnum):
    """Whether a session file is as it was written."""

    WHOLE = "whole"
    TORN = "torn"
    BROKEN = "broken"


@dataclass(frozen=True)
class Contents:
    """A session file, read.

    ``events`` are those that the chain vouches for: all when whole, those before the damage otherwise.
    ``link`` is the last verified link and ``whole_size`` the bytes up to its end; ``tail`` is all after it.
    ``header`` and ``equipment_text`` are empty when not even the header is verified.
    ``trouble`` is one sentence, with the line, and empty when the chain is whole.
    """

    chain: Chain
    header: Mapping[str, Any]
    equipment_text: str
    events: tuple[Mapping[str, object], ...]
    link: str
    whole_size: int
    tail: bytes
    trouble: str
    newer_format: bool = False


_LINK_LINE = re.compile(rb'\nlink = "([0-9a-f]{64})"(?=\n)')
_MARK = re.compile(rb'^\[(?:session|chain)\]|^link = "[0-9a-f]{64}"', re.MULTILINE)
_FORMAT_LINE = re.compile(rb"format = ([1-9][0-9]{0,8})\n")
_LINES, _LINES_END = f"\n{LINES_START}", "\n]\n"
_SHARED = 200_000
"""Characters of equipment lines that are kept for other files at most: a hostile file may hold megabytes."""
_LONG_QUOTES = ('"""', "'''")
_BOM = b"\xef\xbb\xbf"
_NO_HEADER: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class _Block:
    """The header or one event: where it begins, where its link line begins and ends, and its link."""

    start: int
    link_start: int
    end: int
    link: str


def classify(data: bytes) -> Contents:
    """What a session file holds, and whether it is whole, torn or broken.

    whole: nothing after the last link line. torn: after it stands the beginning of a block this format
    writes, as a power cut leaves it. broken: all else. Raises ``NotASession`` for bytes that are no session
    file; one in a newer format comes back as broken with ``newer_format`` set and nothing read.
    """
    if not data.startswith(HEADER_START):
        return _strange_start(data)
    blocks, whole = _verified(data)
    if not blocks:
        if whole:
            line = unfinished_header(data)
            if line is None:
                return _nothing(
                    data, Chain.TORN, "The header was not completely written, so nothing is recorded yet."
                )
            return _nothing(data, Chain.BROKEN, _amiss(data, 0, line))
        return _nothing(data, Chain.BROKEN, _altered(data, 0, 0))
    document = _quickly(data, blocks)
    if document is None:
        return _slowly(data, blocks)
    size = blocks[-1].end
    tail = data[size:]
    chain, trouble = Chain.WHOLE, ""
    if not whole:
        chain, trouble = Chain.BROKEN, _altered(data, size, len(blocks))
    elif tail:
        line = unfinished_event(tail, len(blocks), blocks[-1].link)
        if line is None:
            chain = Chain.TORN
            trouble = f"The last entry, from line {_line(data, size) + 1}, was not completely written."
        else:
            chain, trouble = Chain.BROKEN, _amiss(data, size, line)
    return _contents(data, blocks, document, chain, trouble)


def _strange_start(data: bytes) -> Contents:
    if HEADER_START.startswith(data):
        return _nothing(
            data, Chain.TORN, "The header was not completely written, so nothing is recorded yet."
        )
    if _MARK.search(data) is None:
        raise NotASession(
            'This is not a session file: a session file begins with "format = 1" and a [session] table.'
        )
    found = _FORMAT_LINE.match(data)
    if found and int(found[1]) > FORMAT:
        return _nothing(
            data,
            Chain.BROKEN,
            f"Line 1 says that the file is written in format {int(found[1])}; this version reads no newer one"
            f" than format {FORMAT}.",
            newer_format=True,
        )
    if data.startswith(_BOM):
        return _nothing(
            data, Chain.BROKEN, "Line 1 begins with a byte-order mark, which was not written there."
        )
    return _nothing(data, Chain.BROKEN, _amiss(data, 0, _first_difference(data)))


def _first_difference(data: bytes) -> int:
    same = next((at for at, (a, b) in enumerate(zip(data, HEADER_START, strict=False)) if a != b), 0)
    return data.count(b"\n", 0, same)


def _verified(data: bytes) -> tuple[list[_Block], bool]:
    """The blocks whose links hold, and whether those are all that have one."""
    blocks: list[_Block] = []
    start, link = 0, ""
    for found in _LINK_LINE.finditer(data):
        link_start = found.start() + 1
        link = link_of(link, data[start:link_start])
        if link != found[1].decode("ascii"):
            return blocks, False
        end = found.end() + 1
        blocks.append(_Block(start, link_start, end, link))
        start = end
    return blocks, True


def _quickly(data: bytes, blocks: list[_Block]) -> dict[str, Any] | None:
    """The verified blocks parsed at one go; None if anything about them is not as this format writes it."""
    document = _parsed(data[: blocks[-1].end])
    if document is None:
        return None
    events = document.get("event", [])
    header = {name: table for name, table in document.items() if name != "event"}
    if not isinstance(events, list) or len(events) != len(blocks) - 1 or _header_amiss(header, blocks[0]):
        return None
    if events and list(document)[-1] != "event":
        return None
    for number, (event, block) in enumerate(zip(events, blocks[1:], strict=True), 1):
        if not _is_block(data, block, event, number):
            return None
    return document


def _parsed(data: bytes) -> dict[str, Any] | None:
    try:
        text = data.decode("utf-8")
        if text.isascii():
            raw = "\t" in text or "\x7f" in text or "\r" in text
        else:
            raw = RAW.search(text) is not None
        return None if raw else _loaded(text)
    except (ValueError, RecursionError):
        return None


def _loaded(text: str) -> dict[str, Any]:
    """A document; its equipment lines, which most files of a tree share, are parsed once for all.

    They stand alone from the line that begins them to the one that ends them, so that they can be parsed
    apart. Wherever that is not certain all is parsed together.
    """
    start = text.find(_LINES)
    end = text.find(_LINES_END, start) + len(_LINES_END)
    alone = 0 <= start < end <= start + _SHARED and text.count(_LINES) == 1
    if alone and not any(quotes in text for quotes in _LONG_QUOTES):
        with suppress(tomli.TOMLDecodeError):
            lines = _lines_of(text[start:end])
            document = tomli.loads(f"{text[:start]}{_LINES}]\n{text[end:]}")
            equipment = document.get("equipment")
            if lines is not None and isinstance(equipment, dict) and equipment.get("lines") == []:
                equipment["lines"] = list(lines)
                return document
    return tomli.loads(text)


@lru_cache(maxsize=32)
def _lines_of(text: str) -> tuple[object, ...] | None:
    """The lines; None where anything else stands among them."""
    document = tomli.loads(text)
    return tuple(document["lines"]) if list(document) == ["lines"] else None


def _is_block(data: bytes, block: _Block, event: object, number: int) -> bool:
    """One key a line and nothing else, in order, each as its kind has it."""
    return (
        isinstance(event, dict)
        and is_event(event, linked=True)
        and event["n"] == number
        and event["link"] == block.link
        and data.startswith(EVENT_START, block.start)
        and data.count(b"\n", block.start, block.end) == len(event) + 2
    )


def _header_amiss(header: Mapping[str, Any], block: _Block) -> str:
    trouble = header_trouble(header)
    if trouble:
        return trouble
    if type(header["format"]) is not int or header["format"] != FORMAT:
        return f"format should be {FORMAT}"
    if header["chain"]["link"] != block.link:
        return "[chain] holds another link than the one that closes it"
    text = lines_text(header["equipment"]["lines"])
    if header["equipment"]["sha256"] != sha256(text.encode("utf-8")).hexdigest():
        return "[equipment] holds other lines than its sha256 was taken of"
    return ""


def _slowly(data: bytes, blocks: list[_Block]) -> Contents:
    """A file whose links hold but which this format would not write: where it goes wrong."""
    head = blocks[0]
    document = _parsed(data[: head.end])
    amiss = "it is no TOML that this format writes" if document is None else _header_amiss(document, head)
    if document is None or amiss:
        return _nothing(data, Chain.BROKEN, f"The header (from line 1) is not right: {amiss}.")
    document["event"] = []
    for number, block in enumerate(blocks[1:], 1):
        event, amiss = _event_alone(data, block, number)
        if amiss:
            trouble = f"Event {number}, from line {_line(data, block.start) + 1}, is not right: {amiss}."
            return _contents(data, blocks[:number], document, Chain.BROKEN, trouble)
        document["event"].append(event)
    raise AssertionError("a file is wrong as a whole but right block by block")


def _event_alone(data: bytes, block: _Block, number: int) -> tuple[object, str]:
    document = _parsed(data[block.start : block.end])
    if document is None:
        return None, "it is no TOML that this format writes"
    events = document.get("event")
    if list(document) != ["event"] or not isinstance(events, list) or len(events) != 1:
        return None, "it should be one [[event]] and nothing else"
    event = events[0]
    amiss = event_trouble(event, linked=True)
    if not amiss and event["n"] != number:
        amiss = f"it should be n = {number}"
    if not amiss and not _is_block(data, block, event, number):
        amiss = "it should have one key a line and nothing else"
    return event, amiss


def _contents(
    data: bytes, blocks: list[_Block], document: Mapping[str, Any], chain: Chain, trouble: str
) -> Contents:
    header = {name: table for name, table in document.items() if name != "event"}
    last = blocks[-1]
    return Contents(
        chain=chain,
        header=MappingProxyType(header),
        equipment_text=lines_text(header["equipment"]["lines"]),
        events=tuple(document.get("event", ())),
        link=last.link,
        whole_size=last.end,
        tail=data[last.end :],
        trouble=trouble,
    )


def _nothing(data: bytes, chain: Chain, trouble: str, *, newer_format: bool = False) -> Contents:
    return Contents(chain, _NO_HEADER, "", (), "", 0, data, trouble, newer_format)


def _line(data: bytes, place: int) -> int:
    return data.count(b"\n", 0, place) + 1


def _amiss(data: bytes, start: int, offset: int) -> str:
    line = _line(data, start) + offset
    here = data.split(b"\n", line)[line - 1] if line <= data.count(b"\n") + 1 else b""
    if here.endswith(b"\r"):
        return f"Line {line} ends with a carriage return, which was not written there."
    return f"Line {line} is nothing that was written there."


def _altered(data: bytes, start: int, number: int) -> str:
    """The block from ``start`` does not match the link that closes it."""
    found = _LINK_LINE.search(data, max(start - 1, 0))
    end = _line(data, found.start() + 1) if found else _line(data, len(data))
    what = f"Event {number}" if number else "The header"
    first = _line(data, start) + (1 if number else 0)
    return (
        f"{what} (lines {first} to {end}) does not match its link: it was changed, moved, added"
        " or removed after it was written."
    )
