"""A session file is whole, torn or broken, and says where."""

from __future__ import annotations

import re
from collections.abc import Callable
from hashlib import sha256
from typing import Any

import pytest

from asleft.journal import Chain, NotASession, classify

Events = tuple[dict[str, Any], ...]
LINK_LINE = re.compile(rb'^link = "[0-9a-f]{64}"\n', re.MULTILINE)


def blocks_of(data: bytes) -> list[bytes]:
    ends = [found.end() for found in LINK_LINE.finditer(data)]
    return [data[a:b] for a, b in zip([0, *ends], ends, strict=False)]


def chained(*contents: bytes) -> bytes:
    """Blocks without their link lines, linked anew as a forger would."""
    data, link = b"", b""
    for content in contents:
        link = sha256(link + content).hexdigest().encode()
        data += content + b'link = "' + link + b'"\n'
    return data


def without_links(data: bytes) -> list[bytes]:
    return [LINK_LINE.sub(b"", block) for block in blocks_of(data)]


def test_a_session_reads_back_as_it_was_written(session: bytes, events: Events, equipment_text: str) -> None:
    contents = classify(session)
    assert contents.chain is Chain.WHOLE
    assert [{k: v for k, v in e.items() if k != "link"} for e in contents.events] == list(events)
    assert [list(e)[:-1] for e in contents.events] == [list(e) for e in events]
    assert contents.header["session"]["follows"] == "s-0"
    assert contents.equipment_text == equipment_text
    assert contents.link == contents.events[-1]["link"]
    assert (contents.whole_size, contents.tail, contents.trouble) == (len(session), b"", "")
    assert not contents.newer_format


def test_a_header_alone_is_a_whole_session(header: bytes) -> None:
    contents = classify(header)
    assert (contents.chain, contents.events, contents.whole_size) == (Chain.WHOLE, (), len(header))


def test_every_truncation_is_whole_at_a_block_end_and_torn_anywhere_else(
    session: bytes, events: Events
) -> None:
    ends = [0]
    for block in blocks_of(session):
        ends.append(ends[-1] + len(block))
    for size in range(len(session)):
        contents = classify(session[:size])
        whole = max(end for end in ends if end <= size)
        assert contents.whole_size == whole, size
        assert contents.chain is (Chain.WHOLE if size == whole and size else Chain.TORN), size
        assert len(contents.events) == max(0, ends.index(whole) - 1)
        assert contents.tail == session[whole:size]
        assert bool(contents.trouble) is (contents.chain is Chain.TORN)


def test_no_flipped_bit_is_ever_taken_for_what_was_written(session: bytes) -> None:
    before = classify(session).events
    for place in range(len(session)):
        for bit in range(8):
            flipped = bytearray(session)
            flipped[place] ^= 1 << bit
            contents = classify(bytes(flipped))
            assert contents.chain is Chain.BROKEN, (place, bit)
            assert contents.events == before[: len(contents.events)]
            assert "ine" in contents.trouble


def test_a_flipped_bit_in_a_torn_file_never_reaches_an_event(session: bytes) -> None:
    torn = session[: len(session) - 90]
    before = classify(torn)
    for place in range(before.whole_size - 80, len(torn)):
        for bit in range(8):
            flipped = bytearray(torn)
            flipped[place] ^= 1 << bit
            contents = classify(bytes(flipped))
            assert contents.chain is not Chain.WHOLE
            assert contents.events == before.events[: len(contents.events)]
            if place < before.whole_size:
                assert contents.chain is Chain.BROKEN


@pytest.mark.parametrize(
    ("edit", "event"),
    [
        (lambda b: [b[0], b[1].replace(b"238.2", b"240.0"), *b[2:]], 1),
        (lambda b: [b[0], b[1], b[3], b[2], *b[4:]], 2),
        (lambda b: [b[0], b[1], b[2], b[2], *b[3:]], 3),
        (lambda b: [b[0], b[1], *b[3:]], 2),
        (lambda b: [b[0], *b[2:]], 1),
        (lambda b: [b[0], *reversed(b[1:])], 1),
        (lambda b: [b[0].replace(b"Ana", b"Bob"), *b[1:]], 0),
        (lambda b: b[1:], 0),
        (lambda b: [b[0], b[1] + b"# a remark\n", *b[2:]], 2),
        (lambda b: [*b[:-1], LINK_LINE.sub(b"", b[-1]) + LINK_LINE.findall(b[1])[0]], 7),
    ],
    ids=[
        "edited",
        "swapped",
        "doubled",
        "dropped",
        "first dropped",
        "reversed",
        "header edited",
        "no header",
        "remark",
        "link of another",
    ],
)
def test_tampering_is_found_where_it_was_done(
    session: bytes, edit: Callable[[list[bytes]], list[bytes]], event: int
) -> None:
    contents = classify(b"".join(edit(blocks_of(session))))
    assert contents.chain is Chain.BROKEN
    assert len(contents.events) == max(0, event - 1)
    if event:
        assert contents.trouble.startswith(f"Event {event} (lines ")
        assert contents.header["session"]["id"] == "s-1"


def test_the_line_of_the_damage_is_said(session: bytes) -> None:
    blocks = blocks_of(session)
    first = b"".join(blocks[:2]).count(b"\n") + 2
    last = b"".join(blocks[:3]).count(b"\n")
    contents = classify(session.replace(b'state = "off"', b'state = "on"'))
    assert f"Event 2 (lines {first} to {last})" in contents.trouble
    assert session.splitlines()[first - 1] == b"[[event]]"
    assert session.splitlines()[last - 1].startswith(b"link = ")


@pytest.mark.parametrize(
    "extra", [b"\n", b" ", b"# remark\n", b"\x00", b"\n[[event]]\nn = 9\n", b"\n[x]\n", b"\xff"]
)
def test_bytes_after_the_last_link_that_nothing_here_wrote_are_broken(
    session: bytes, extra: bytes, events: Events
) -> None:
    contents = classify(session + extra)
    if extra == b"\n":
        assert contents.chain is Chain.TORN
        return
    assert contents.chain is Chain.BROKEN
    assert len(contents.events) == len(events)
    line = session.count(b"\n") + 1
    assert re.search(rf"Line ({line}|{line + 2}|{line + 1}) ", contents.trouble)


@pytest.mark.parametrize("doubled", [False, True])
def test_carriage_returns_are_broken_and_said(session: bytes, doubled: bool) -> None:
    data = session.replace(b"\n", b"\r\n")
    if not doubled:
        data = session[:-1] + b"\r\n"
    contents = classify(data)
    assert contents.chain is Chain.BROKEN
    assert "carriage return" in contents.trouble


def test_a_byte_order_mark_is_broken_and_said(session: bytes) -> None:
    contents = classify(b"\xef\xbb\xbf" + session)
    assert contents.chain is Chain.BROKEN
    assert "byte-order mark" in contents.trouble
    assert contents.events == ()


@pytest.mark.parametrize(
    "data",
    [
        b"hello",
        b"\x00\x01\x02\xff",
        b'format = 1\n\n[unit]\nid = "x"\n',
        b"format = 2\n[unit]\n",
        b"\n",
        b"{}",
        b"PK\x03\x04",
    ],
)
def test_what_is_no_session_file_is_told_apart(data: bytes) -> None:
    with pytest.raises(NotASession, match="session file"):
        classify(data)


def test_an_empty_file_is_a_session_that_was_never_begun() -> None:
    contents = classify(b"")
    assert (contents.chain, contents.whole_size) == (Chain.TORN, 0)


def test_a_newer_format_is_told_apart_and_not_read(session: bytes) -> None:
    contents = classify(session.replace(b"format = 1\n", b"format = 2\n", 1))
    assert contents.newer_format
    assert contents.chain is Chain.BROKEN
    assert contents.events == ()
    assert "format 2" in contents.trouble


FIRST = b'\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "A"\nkind = "resumed"\n'


@pytest.mark.parametrize(
    "content",
    [
        FIRST,
        FIRST.replace(b"09:30:00Z", b"09:30:00.125Z"),
        FIRST.replace(b'"resumed"', b'"powered"\nstate = "on"'),
    ],
)
def test_an_event_written_by_another_program_to_the_format_is_whole(header: bytes, content: bytes) -> None:
    assert classify(chained(without_links(header)[0], content)).chain is Chain.WHOLE


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (FIRST.replace(b"n = 1", b"n = 2"), "n = 1"),
        (FIRST.replace(b"n = 1", b"n = 0"), "n = 1"),
        (FIRST.replace(b"n = 1", b"n = 1.0"), "'n'"),
        (FIRST.replace(b"n = 1", b"n = true"), "'n'"),
        (FIRST.replace(b'by = "A"', b'by = "A"\nby = "B"'), "TOML"),
        (FIRST.replace(b'by = "A"', b'by = "A"\nhue = "B"'), "'hue'"),
        (FIRST.replace(b'by = "A"\n', b""), "'by' is missing"),
        (FIRST.replace(b'by = "A"', b"by = 1"), "'by'"),
        (FIRST.replace(b'by = "A"', b'by = {x = "A"}'), "'by'"),
        (FIRST.replace(b'by = "A"', b'by.x = "A"'), "'by'"),
        (FIRST.replace(b'by = "A"', b'by = """\nA"""'), "one key a line"),
        (FIRST.replace(b'by = "A"', b'by = "A"\n# remark'), "one key a line"),
        (FIRST.replace(b'by = "A"', b'by = "\t"'), "TOML"),
        (FIRST.replace(b'by = "A"', 'by = "\u202e"'.encode()), "TOML"),
        (FIRST.replace(b'by = "A"', b'by = "\xff"'), "TOML"),
        (FIRST.replace(b'by = "A"', b'by = "\xed\xa0\x80"'), "TOML"),
        (FIRST.replace(b'"resumed"', b'"guessed"'), "no kind"),
        (FIRST.replace(b'"resumed"', b'["resumed"]'), "no kind"),
        (FIRST.replace(b'"resumed"', b'"powered"\nstate = "up"'), "'state'"),
        (FIRST + b"verdicts = [1]\n", "'verdicts'"),
        (FIRST + b"verdicts = [[[" + b"[" * 5000 + b"\n", "TOML"),
        (FIRST + b"[event.more]\nx = 1\n", "TOML|'more'|belong"),
        (FIRST + b"\n[more]\nx = 1\n", "one \\[\\[event\\]\\]"),
        (FIRST + FIRST.replace(b"n = 1", b"n = 2"), "one \\[\\[event\\]\\]"),
        (FIRST.replace(b"\n[[event]]", b"[[event]]"), "one key a line"),
        (FIRST.replace(b'kind = "resumed"\n', b"").replace(b"n = 1", b'kind = "resumed"\nn = 1'), "order"),
        (b"\n", "one \\[\\[event\\]\\]"),
        (b"", "one \\[\\[event\\]\\]"),
        (b'\n[[event]]\nn = 1\nby = """\nlink = "' + b"0" * 64 + b'"\n"""\n', "does not match"),
        (
            FIRST.replace(b'"resumed"', b'"entered"\nfield = "f"\ntyped = "t"\nvalue = nan'),
            "'value'",
        ),
        (
            FIRST.replace(b'"resumed"', b'"entered"\nfield = "f"\ntyped = "t"\nvalue = 2031-05-04'),
            "'value'",
        ),
        (
            FIRST.replace(b'"resumed"', b'"entered"\nfield = "f"\ntyped = "t"\nvalue = ' + b"9" * 5000),
            "TOML|'value'",
        ),
    ],
)
def test_a_well_linked_event_that_is_not_of_the_format_is_broken(
    header: bytes, content: bytes, said: str
) -> None:
    contents = classify(chained(without_links(header)[0], content))
    assert contents.chain is Chain.BROKEN
    assert contents.events == ()
    assert re.search(said, contents.trouble), contents.trouble
    assert contents.trouble.startswith("Event 1")


def test_events_before_a_well_linked_wrong_one_are_kept(header: bytes) -> None:
    wrong = FIRST.replace(b"n = 1", b"n = 3")
    contents = classify(chained(without_links(header)[0], FIRST, wrong))
    assert contents.chain is Chain.BROKEN
    assert [event["n"] for event in contents.events] == [1]
    assert "Event 2" in contents.trouble


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (b'mode = "job"\n', b"", "'mode' is missing"),
        (b'mode = "job"', b"mode = 1", "'mode'"),
        (b'mode = "job"', b'mode = "job"\nhue = "x"', "'hue'"),
        (b"[chain]\n", b"[more]\n\n[chain]\n", "nothing else"),
        (b'    "[unit]",', b'    "[unet]",', "sha256"),
        (b"sha256 = ", b"sha257 = ", "'sha257'"),
        (b"[chain]\n", b'[chain]\nx = "y"\n', "'x'"),
    ],
)
def test_a_well_linked_header_that_is_not_of_the_format_is_broken(
    header: bytes, old: bytes, new: bytes, said: str
) -> None:
    content = without_links(header)[0]
    assert old in content
    contents = classify(chained(content.replace(old, new)))
    assert contents.chain is Chain.BROKEN
    assert not contents.header
    assert said in contents.trouble
