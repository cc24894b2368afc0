"""Files made to hurt a reader: refused quickly, in bounded memory, with a sentence."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.journal import Chain, NotASession, classify, files, header_bytes, link_of, read

START = b"format = 1\n\n[session]\n"
MOST_MEMORY = 1 << 30
"""Bytes of address space that a command gets."""


def forged(content: bytes) -> bytes:
    """A session with a right header, and an event whose link is right whatever else it is."""
    header = header_bytes(
        id="s", mode="job", app="a", rules="1", opened_by="Ana", follows=None, equipment_text="format = 1\n"
    )
    block = b"\n[[event]]\n" + content
    link = link_of(classify(header).link, block)
    return header + block + f'link = "{link}"\n'.encode()


COMMON = b'n = 1\nat = "2031-05-04T10:00:00Z"\nby = "A"\nkind = "noted"\n'
BYTES: dict[str, bytes] = {
    "deep lists": START + b"id = " + b"[" * 200_000,
    "deep tables": START + b"[" + b"a." * 100_000 + b"b]\n",
    "huge key": START + b"k" * 5_000_000 + b" = 1\n",
    "zeros": bytes(1_000_000),
    "one line": START + b"x" * 20_000_000,
    "many links": START + (b'\nlink = "' + b"0" * 64 + b'"\n') * 100_000,
    "well linked deep lists": forged(COMMON + b"text = " + b"[" * 100_000 + b"]" * 100_000 + b"\n"),
    "well linked deep tables": forged(COMMON + b"text" + b".a" * 100_000 + b" = 1\n"),
    "well linked huge key": forged(COMMON + b"k" * 2_000_000 + b" = 1\n"),
    "well linked huge number": forged(COMMON + b"text = " + b"9" * 1_000_000 + b"\n"),
}


def sparse(path: Path) -> None:
    """A session's beginning, and 200 MB of nothing."""
    path.write_bytes(START)
    os.truncate(path, 200_000_000)


def endless(path: Path) -> None:
    """A name for a device that never ends."""
    path.symlink_to("/dev/zero")


def itself(path: Path) -> None:
    """A link to itself."""
    path.symlink_to(path)


def pipe(path: Path) -> None:
    """A pipe that nobody writes to."""
    os.mkfifo(path)


PLACES: list[Callable[[Path], None]] = [sparse, endless, itself, pipe, Path.mkdir]
COMMANDS = [
    ["check"],
    ["open", "--text"],
    ["enter", "power=off"],
    ["seal", "--key", os.devnull],
    ["equipment", "check"],
    ["new", "--equipment"],
]


def asleft(words: list[str], file: Path, home: Path) -> subprocess.CompletedProcess[str]:
    """A command on a file, with little memory; the file comes last, or first where acts follow."""
    at = 1 if words[0] == "enter" else len(words)
    return subprocess.run(
        [sys.executable, "-m", "asleft", *words[:at], str(file), *words[at:]],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={**os.environ, "ASLEFT_HOME": str(home)},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY)),
    )


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.__name__)
def test_what_is_no_plain_file_is_refused_by_every_command(
    place: Callable[[Path], None], tmp_path: Path
) -> None:
    """A sentence on standard error or the page, no traceback, and it does not wait for more."""
    file = tmp_path / "visit.toml"
    place(file)
    for words in COMMANDS:
        if place is pipe and words[0] in ("equipment", "new"):
            # An equipment file may well come through a pipe; who names one waits for its writer.
            continue
        done = asleft(words, file, tmp_path / "home")
        said = done.stdout + done.stderr
        assert done.returncode in (1, 2, 3), (words, said)
        assert said, words
        assert "Traceback" not in said, words
        assert "unforeseen" not in said, words


@pytest.mark.parametrize("name", BYTES)
def test_bytes_made_to_hurt_are_told_and_nothing_in_them_is_believed(name: str, tmp_path: Path) -> None:
    """Broken, or no session; never an event."""
    file = tmp_path / "visit.toml"
    file.write_bytes(BYTES[name])
    try:
        contents = read(file, wait=lambda _: None)
    except NotASession:
        contents = None
    assert contents is None or (contents.chain is not Chain.WHOLE and contents.events == ())
    done = asleft(["check"], file, tmp_path / "home")
    said = done.stdout + done.stderr
    assert done.returncode in (1, 2)
    assert "Traceback" not in said
    assert "unforeseen" not in said


def test_a_file_over_the_largest_is_no_session(tmp_path: Path) -> None:
    """By one byte; at the limit it is looked at."""
    file = tmp_path / "visit.toml"
    file.write_bytes(START)
    os.truncate(file, files.LARGEST)
    assert read(file, wait=lambda _: None).chain is Chain.BROKEN
    os.truncate(file, files.LARGEST + 1)
    with pytest.raises(NotASession, match="32 MB"):
        read(file)
