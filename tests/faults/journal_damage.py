"""A session file damaged after it was written: every flipped bit, every truncation, and damage by name.

Each is told by its right name and at its right place, and all before it is read as it was written. Where that
is, is worked out here from the blocks of the undamaged file, by nothing of the journal's own.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from asleft.journal import (
    Broken,
    Chain,
    Contents,
    Journal,
    NewerFormat,
    NotASession,
    classify,
    event_bytes,
    header_bytes,
)
from played import blocks, relinked

Look = Callable[[bytes], Contents]

_PLACES = re.compile(
    r"(?P<what>Event \d+|The header|The last entry|Line(?= \d))"
    r"(?: \(lines (?P<first>\d+) to (?P<last>\d+)\)|,? \(?from line (?P<start>\d+)| (?P<line>\d+)| was)"
)


@dataclass(frozen=True)
class Told:
    """What a file is told to be: how many events can be read, what is amiss, from which line to which.

    `chain` is `no session` for what is not even that, and `newer` for a newer format.
    """

    chain: str
    events: int
    what: str = ""
    first: int = 0
    last: int = 0


@dataclass
class Seen:
    """What was tried. `unseen` was taken for sound, or read otherwise than it was written.

    `misplaced` was told by another name or at another place.
    """

    tried: int = 0
    unseen: list[str] = field(default_factory=list)
    misplaced: list[str] = field(default_factory=list)


def told(contents: Contents) -> Told:
    """What reading says of a file, in a form that can be compared."""
    chain = "newer" if contents.newer_format else str(contents.chain)
    if contents.chain is Chain.WHOLE:
        return Told(chain, len(contents.events))
    place = _PLACES.match(contents.trouble)
    if place is None:
        raise AssertionError(f"no place is named by {contents.trouble!r}")
    first = int(place["first"] or place["start"] or place["line"] or 0)
    return Told(chain, len(contents.events), place["what"], first, int(place["last"] or first))


def small_session(by: str = "Ana") -> bytes:
    """A session of a few events that between them hold every form of value."""
    data = header_bytes(
        id="s-1",
        mode="job",
        app="a",
        rules="1",
        opened_by=by,
        follows="s-0",
        equipment_text='id = "q"\r\nß 🔥\n',
    )
    link = classify(data).link
    kinds: tuple[dict[str, Any], ...] = (
        {
            "kind": "entered",
            "field": "f",
            "typed": "238.2 V",
            "value": 238.2,
            "unit": "V",
            "readings": [1.5, 2.0],
        },
        {"kind": "powered", "state": "off", "verdicts": ["PS-1 unit passes"]},
        {"kind": "noted", "text": 'link = "\n[[event]]\n\u202e\x1b ü 🔥'},
        {"kind": "retracted", "of": 3, "why": "slip"},
        {"kind": "entered", "field": "g", "typed": "yes", "value": True},
        {"kind": "sealed", "of": 5, "signature": ["-----BEGIN", "AA=="]},
    )
    for n, own in enumerate(kinds, 1):
        block, link = event_bytes(link, {"n": n, "at": f"2031-05-04T09:30:{n:02d}Z", "by": by, **own})
        data += block
    return data


@dataclass(frozen=True)
class Layout:
    """Where the blocks of a file stand: the header is number 0, then event by event."""

    parts: Sequence[bytes]

    def start(self, number: int) -> int:
        """The byte at which a block begins."""
        return sum(map(len, self.parts[:number]))

    def at(self, place: int) -> int:
        """The block that holds a byte."""
        return next(n for n in range(len(self.parts)) if place < self.start(n + 1))

    def lines(self, number: int) -> tuple[int, int]:
        """The first and last line of a block, from 1, without the empty line before an event."""
        before = sum(part.count(b"\n") for part in self.parts[:number])
        return before + (2 if number else 1), before + self.parts[number].count(b"\n")

    def altered(self, number: int) -> Told:
        """What should be told where this block is the first that is not what was written."""
        return Told("broken", max(0, number - 1), _name(number), *self.lines(number))

    def not_right(self, number: int) -> Told:
        """What should be told where it was linked anew but is nothing the format holds."""
        first = self.lines(number)[0]
        return Told("broken", max(0, number - 1), _name(number), first, first)


def _name(number: int) -> str:
    return f"Event {number}" if number else "The header"


# ---- bits and truncations -----------------------------------------------------------------------------


def flip_bits(data: bytes, bits: Iterable[int], look: Look = classify) -> Seen:
    """Flip bits, each by its number from the first, and see that it is told in the block that holds it."""
    seen, layout, written = Seen(), Layout(blocks(data)), classify(data).events
    starts = [layout.start(number) for number in range(len(layout.parts) + 1)]
    for bit in bits:
        seen.tried += 1
        place = bit // 8
        flipped = bytearray(data)
        flipped[place] ^= 1 << bit % 8
        number = bisect_right(starts, place) - 1
        try:
            contents = look(bytes(flipped))
        except NotASession:
            seen.unseen.append(f"bit {bit}: told to be no session")
            continue
        readable = written[: max(0, number - 1)]
        if (
            contents.chain is not Chain.BROKEN
            or contents.events != readable
            or not _all_kept(contents, flipped)
        ):
            seen.unseen.append(f"bit {bit}: {contents.chain}, {len(contents.events)} events")
            continue
        says, line = told(contents), flipped.count(b"\n", 0, place) + 1
        # The empty line before an event is of its block, though not of the lines that are named.
        within = says.first - (says.what != "Line") <= line <= says.last
        if says.what not in ("Line", _name(number)) or not within:
            seen.misplaced.append(f"bit {bit} in {_name(number)}, line {line}: {contents.trouble}")
    return seen


def _all_kept(contents: Contents, data: bytes | bytearray) -> bool:
    return bytes(data[: contents.whole_size]) + contents.tail == data


def cut_short(data: bytes, sizes: Iterable[int], look: Look = classify) -> Seen:
    """Cut the file to sizes: whole at the end of a block, torn anywhere else, with every event before it."""
    seen, layout, written = Seen(), Layout(blocks(data)), classify(data).events
    starts = [layout.start(number) for number in range(len(layout.parts) + 1)]
    for size in sizes:
        seen.tried += 1
        number = bisect_right(starts, size) - 1
        contents = look(data[:size])
        if size == starts[number] and number:
            right = Told("whole", number - 1)
        elif number:
            line = layout.lines(number)[0]
            right = Told("torn", number - 1, "The last entry", line, line)
        else:
            right = Told("torn", 0, "The header")
        if contents.events != written[: right.events] or not _all_kept(contents, data[:size]):
            seen.unseen.append(f"cut to {size}: {contents.chain}, {len(contents.events)} events")
        elif told(contents) != right:
            seen.misplaced.append(f"cut to {size}: {told(contents)} where {right} is right")
    return seen


# ---- damage by name -----------------------------------------------------------------------------------

Damage = tuple[str, bytes, Told]
NO_SESSION = Told("no session", 0)


def _added(part: bytes, line: bytes) -> bytes:
    """A block with a line more before its link line."""
    at = part.rindex(b'link = "')
    return part[:at] + line + part[at:]


def _edited(part: bytes) -> Iterator[bytes]:
    """A block with the last letter or digit of one line doubled, line by line but for the link line."""
    ends = list(re.finditer(rb"([A-Za-z0-9])(?=[^A-Za-z0-9\n]*\n)", part))[:-1]
    return (part[: end.end()] + end[1] + part[end.end() :] for end in ends)


def to_an_event(parts: list[bytes], other: list[bytes], number: int) -> Iterator[Damage]:
    """Damage done to one event, its neighbours and its link."""
    before, own, after = parts[:number], parts[number], parts[number + 1 :]
    strange = other[number % (len(other) - 1) + 1]
    keyed = _added(own, b'hue = "x"\n')
    found: list[tuple[str, list[bytes], int]] = [
        *(("edited", [*before, edited, *after], number) for edited in _edited(own)),
        ("a key added", [*before, keyed, *after], number),
        ("a remark added", [*before, _added(own, b"# x\n"), *after], number),
        ("a carriage return", [*before, own.replace(b"]]\n", b"]]\r\n"), *after], number),
        ("doubled", [*before, own, own, *after], number + 1),
        ("another session's instead", [*before, strange, *after], number),
        ("another session's before", [*before, strange, own, *after], number),
    ]
    relinkable: list[tuple[str, list[bytes], int]] = [
        ("a key added", [*before, keyed, *after], number),
        ("doubled", [*before, own, own, *after], number + 1),
        ("another session's instead", [*before, strange, *after], number),
    ]
    if after:
        shifted = [
            ("dropped", [*before, *after], number),
            ("swapped", [*before, after[0], own, *after[1:]], number),
        ]
        found += [*shifted, ("moved to the end", [*before, *after, own], number)]
        relinkable += shifted
    for name, new, at in found:
        yield f"event {number}: {name}", b"".join(new), Layout(new).altered(at)
    for name, new, at in relinkable:
        yield f"event {number}: {name}, linked anew", relinked(new), Layout(new).not_right(at)
    crlf = [*before, own.replace(b"\n", b"\r\n"), *after]
    first = Layout(parts).lines(number)[0]
    right = Told("broken", number - 1, "Line", first - 1, first - 1)
    if after:
        right = Told("broken", number - 1, _name(number), first, Layout(parts).lines(number + 1)[1])
    yield f"event {number}: CRLF", b"".join(crlf), right


def to_the_header(parts: list[bytes], other: list[bytes]) -> Iterator[Damage]:
    """Damage done to the header, or to the file as a whole."""
    header, events = parts[0], parts[1:]
    data = b"".join(parts)
    for edited in list(_edited(header))[2:]:
        yield "header: edited", b"".join([edited, *events]), Layout([edited, *events]).altered(0)
    keyed = [_added(header, b'hue = "x"\n'), *events]
    yield "header: a key added", b"".join(keyed), Layout(keyed).altered(0)
    yield "header: a key added, linked anew", relinked(keyed), Layout(keyed).not_right(0)
    for name, new in (
        ("another session's header", [other[0], *events]),
        ("another session's events", [header, *other[1:]]),
        ("events in reverse", [header, *events[::-1]]),
    ):
        yield name, b"".join(new), Layout(new).altered(1)
    top = Told("broken", 0, "Line", 1, 1)
    newer = data.replace(b"format = 1\n", b"format = 2\n", 1)
    yield "a newer format", newer, Told("newer", 0, "Line", 1, 1)
    yield "a newer format, linked anew", relinked(blocks(newer)), Told("newer", 0, "Line", 1, 1)
    yield "an older format", data.replace(b"format = 1\n", b"format = 0\n", 1), top
    yield (
        "a table's name edited",
        data.replace(b"[session]", b"[sessions]", 1),
        Told("broken", 0, "Line", 3, 3),
    )
    yield "no header", b"".join(events), top
    yield "an empty line on top", b"\n" + data, top
    yield "a remark on top", b"# x\n" + data, top
    yield "byte-order mark", b"\xef\xbb\xbf" + data, top
    yield "CRLF", data.replace(b"\n", b"\r\n"), top
    yield "CR", data.replace(b"\n", b"\r"), NO_SESSION
    yield "UTF-16", data.decode().encode("utf-16"), NO_SESSION


def to_the_end(parts: list[bytes], other: list[bytes], zeroed: Iterable[int]) -> Iterator[Damage]:
    """Bytes after the last event, and a file whose last so many bytes are zeroed."""
    data, last = b"".join(parts), len(parts) - 1
    line = data.count(b"\n") + 1
    for extra, at in (
        *((extra, 0) for extra in (b" ", b"x", b"# x\n", bytes(512), b"\xff", b"\x1a", b"\r\n", b"link")),
        *((extra, 1) for extra in (b"\n\n", b"\n[more]\nx = 1\n", b"\n[[event]\n")),
        (b"\n[[event]]\nn = 0\n", 2),
    ):
        yield f"{extra[:20]!r} at the end", data + extra, Told("broken", last, "Line", line + at, line + at)
    yield "a line feed at the end", data + b"\n", Told("torn", last, "The last entry", line + 1, line + 1)
    yield "CRLF at the end", data[:-1] + b"\r\n", Told("broken", last - 1, "Line", line - 1, line - 1)
    for name, more in (
        ("the whole file once more", parts),
        ("another session at the end", other),
        ("another session's events at the end", other[1:]),
    ):
        yield name, b"".join([*parts, *more]), Layout([*parts, *more]).altered(last + 1)
    for size in zeroed:
        place = len(data) - size
        line = data.count(b"\n", 0, place) + 1
        right = Told("broken", max(0, Layout(parts).at(place) - 1), "Line", line, line)
        known = place >= len(b"format = 1\n\n[session]")
        yield f"last {size} bytes zeroed", data[:place] + bytes(size), right if known else NO_SESSION


def harm(data: bytes, damages: Iterable[Damage], folder: Path, look: Look = classify) -> Seen:
    """See that each damage is told for what it is and where, and that nothing is written to such a file."""
    seen, written, path = Seen(), classify(data).events, folder / "harmed.toml"
    for name, damaged, right in damages:
        seen.tried += 1
        try:
            contents = look(damaged)
        except NotASession:
            says = NO_SESSION
        else:
            says = told(contents)
            if contents.events != written[: says.events] or not _all_kept(contents, damaged):
                seen.unseen.append(f"{name}: read otherwise than it was written")
        if (says.chain, says.events) != (right.chain, right.events):
            seen.unseen.append(f"{name}: {says} where {right} is right")
        elif says != right:
            seen.misplaced.append(f"{name}: {says} where {right} is right")
        path.write_bytes(damaged)
        if not _left_alone(path, right.chain):
            seen.unseen.append(f"{name}: opened, or changed although refused")
    return seen


def _left_alone(path: Path, chain: str) -> bool:
    """Whether opening refuses the file for what it is, every byte as it was; or keeps a torn one's tail."""
    data = path.read_bytes()
    expected = {"broken": Broken, "newer": NewerFormat, "no session": NotASession}.get(chain)
    try:
        with Journal.open(path) as journal:
            kept = journal.torn_kept.read_bytes() if journal.torn_kept else b""
            return expected is None and path.read_bytes() + kept == data
    except (Broken, NewerFormat, NotASession) as problem:
        return type(problem) is expected and path.read_bytes() == data
