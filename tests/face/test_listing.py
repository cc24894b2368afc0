"""The sessions of a folder at a glance: what is said must be what a full reading gives."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from asleft.face.glance import glance
from asleft.face.listing import MOST, sessions
from asleft.journal import Chain, classify
from played import blocks, cut_after, relinked, session_bytes


def test_a_glance_says_what_reading_it_all_says() -> None:
    """At every event: how many, the site, the last moment, and at the end the outcome."""
    data = session_bytes()[1]
    whole = classify(data)
    for n in range(len(whole.events) + 1):
        seen = glance(cut_after(data, n))
        events = whole.events[:n]
        site = [e["value"] for e in events if e.get("field") == "identity.site"]
        assert seen.entries == n
        assert seen.site == (site[-1] if site else "")
        assert seen.at == (events[-1]["at"] if events else "")
        assert seen.outcome == (events[-1].get("outcome", "") if n and events[-1]["kind"] == "signed" else "")
        assert (seen.cut, seen.trouble, seen.mode) == (False, "", "demo")
        assert seen.unit == "Tarnfield Lowmoor LM36E"


def test_cut_anywhere_in_the_last_entry_it_says_cut_and_counts_what_is_whole() -> None:
    """The same that a full reading calls torn."""
    data = session_bytes()[1]
    head, tail = cut_after(data, 11), blocks(data)[12]
    for length in range(1, len(tail) - 1):
        bytes_left = head + tail[:length]
        assert classify(bytes_left).chain is Chain.TORN
        seen = glance(bytes_left)
        assert (seen.entries, seen.cut) == (11, True), tail[:length]


def test_a_seal_behind_the_signature_leaves_it_signed_and_an_entry_does_not() -> None:
    """As the journal's own rule has it."""
    data = session_bytes()[1]
    parts, n = blocks(data), len(blocks(data))
    at = b'at = "2031-01-01T00:00:00Z"\nby = "Ada"\n'
    link = b'link = "' + b"0" * 64 + b'"\n'
    seal = (
        b"\n[[event]]\nn = %d\n" % n + at + b'kind = "sealed"\nof = %d\nsignature = ["x"]\n' % (n - 1) + link
    )
    note = b"\n[[event]]\nn = %d\n" % n + at + b'kind = "noted"\ntext = "more"\n' + link
    assert glance(relinked([*parts, seal])).outcome == "commissioned"
    assert glance(relinked([*parts, note])).outcome == ""


@pytest.mark.parametrize(
    "data",
    [b"", b"hello", b"\xff\xfe", b"format = 2\n", b"format = 1\n\n[other]\n", b"[[event]]\n" * 1000],
)
def test_what_is_no_session_is_said_to_be_none(data: bytes) -> None:
    """Whatever its bytes."""
    assert glance(data).trouble


def test_bytes_that_only_begin_like_a_session_do_not_end_the_look() -> None:
    """Every prefix, and links, keys and tables in the wrong places."""
    data = session_bytes()[1]
    for length in range(0, 4000, 7):
        glance(data[:length])
    start = b"format = 1\n\n[session]\n"
    link = b'\nlink = "' + b"0" * 64 + b'"\n'
    for more in (
        link,
        b"mode = 3" + link,
        b'\n    "[unit]",\n' + link,
        b'\nfield = "identity.site"\n' + link,
    ):
        assert glance(start + more).trouble == ""


def test_the_newest_come_first_and_every_file_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    """Open, signed, damaged, foreign, a folder, a link to nowhere; what is no .toml is not listed."""
    data = session_bytes()[1]
    for age, (name, content) in enumerate(
        {"b.toml": cut_after(data, 9), "a.toml": data, "c.toml": b"x"}.items()
    ):
        (tmp_path / name).write_bytes(content)
        os.utime(tmp_path / name, (1_000_000 - age, 1_000_000 - age))
    (tmp_path / "note.txt").write_text("not listed")
    (tmp_path / "folder.toml").mkdir()
    os.utime(tmp_path / "folder.toml", (10, 10))
    (tmp_path / "nowhere.toml").symlink_to(tmp_path / "gone")
    listing = sessions(tmp_path)
    assert [one.path.name for one in listing.listed] == [
        "b.toml",
        "a.toml",
        "c.toml",
        "folder.toml",
        "nowhere.toml",
    ]
    assert [one.open for one in listing.listed] == [True, False, False, False, False]
    assert [one.glance.trouble for one in listing.listed][2:] == [
        "this is no session file",
        "this is not a file",
        "no such file or directory",
    ]


def test_a_folder_with_very_many_lists_the_newest_and_counts_the_rest(tmp_path: Path) -> None:
    """Nobody looks through more."""
    for n in range(MOST + 3):
        (tmp_path / f"{n:03}.toml").write_bytes(b"x")
        os.utime(tmp_path / f"{n:03}.toml", (n, n))
    listing = sessions(tmp_path)
    assert (len(listing.listed), listing.older) == (MOST, 3)
    assert listing.listed[0].path.name == f"{MOST + 2:03}.toml"


def test_a_folder_that_is_not_there_lists_nothing_and_one_that_is_a_file_says_so(tmp_path: Path) -> None:
    """The first start has no sessions."""
    assert sessions(tmp_path / "nowhere") == ((), 0, "")
    (tmp_path / "file").write_text("x")
    assert "not a directory" in sessions(tmp_path / "file").trouble
