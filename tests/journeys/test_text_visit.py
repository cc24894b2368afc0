"""Whole visits as questions and answers: what is printed is enough, and the bytes are those of the screen."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.rig import BuiltIn
from asleft.drill.technician import headless
from asleft.equipment.library import find
from asleft.unattended import begin, play
from asleft.unattended.jobs import virtual_unit
from played import UNIT, session_bytes
from talking import by_what_it_reads, talk

UNITS = [UNIT, "osmere-corrie-24"]


@pytest.mark.parametrize("unit", UNITS)
def test_a_whole_visit_by_what_is_printed_gives_the_same_bytes(unit: str, tmp_path: Path) -> None:
    """From an empty file to the signature, with the unit as rig, byte for byte as without any face."""
    job = begin(tmp_path / "text", find(unit), 4)
    try:
        code, text = talk(job.visit, by_what_it_reads, job.rig)
    finally:
        job.close()
    assert code == 0
    assert "Signature: commissioned, saved as entry" in text
    assert job.visit.path.read_bytes() == play(tmp_path / "headless", find(unit), 4).path.read_bytes()
    assert all(len(line) <= 78 for line in text.splitlines() if not line.startswith("  /"))
    assert not [c for c in text if c != "\n" and not c.isprintable()]


class Shy(BuiltIn):
    """The unit of a seed, but one reading is refused."""

    def ask(self, request: Any) -> dict[str, Any]:
        """Its own answer to everything else."""
        if request.get("field") == "electrical.ground.resistance":
            return {"refused": "no lead long enough"}
        return super().ask(request)


def test_what_the_rig_refuses_is_noted_and_the_unit_left_safe(tmp_path: Path) -> None:
    """The same notes and the same end as without a face, to the byte."""
    ends = []
    for face in ("text", "headless"):
        job = begin(tmp_path / face, find(UNIT), 1)
        rig = Shy(virtual_unit(find(UNIT), 1))
        try:
            if face == "text":
                code, text = talk(job.visit, by_what_it_reads, rig)
                assert code == 0
                assert "cannot be done, no lead long enough, saved as entry" in text
                assert "Enter alone takes: not commissioned" in text
            else:
                headless(job.visit, rig)
        finally:
            job.close()
        ends.append(job.visit.path.read_bytes())
    assert ends[0] == ends[1]


def test_the_program_itself_through_pipes_with_a_program_as_rig(tmp_path: Path) -> None:
    """`new --text`, left in the middle, then `open --text`, both with `--rig`: the same events."""
    asleft = [sys.executable, "-m", "asleft.cli"]
    rig = shlex.join([*asleft, "rig", "--healthy", "--seed", "4", "--equipment", UNIT])
    env = {**os.environ, "HOME": str(tmp_path), "PYTHONIOENCODING": "ascii", "TERM": "dumb", "COLUMNS": "20"}
    words = ["new", "--text", "--equipment", UNIT, "--site", "x", "--by", "Ada"]
    texts = [_piped([*asleft, *words, "--out", "visits", "--rig", rig], tmp_path, env, most=90)]
    (path,) = (tmp_path / "visits").iterdir()
    begun = path.read_bytes()
    texts.append(_piped([*asleft, "open", str(path), "--by", "Ada", "--text", "--rig", rig], tmp_path, env))
    assert path.read_bytes().startswith(begun)
    assert all(text.isascii() for text in texts)
    assert "degF" in texts[1]
    assert _told(path.read_bytes(), left_out=2) == _told(session_bytes(4)[1], left_out=2)


def _piped(command: list[str], folder: Path, env: dict[str, str], most: int = 4000) -> str:
    """Answer a process by what it prints, at most so many lines, and end its input; all that it printed."""
    process = subprocess.Popen(
        command, cwd=folder, env=env, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdin
    assert process.stdout
    assert process.stderr
    text = ""
    for _ in range(most):
        new = ""
        while not new.endswith("\n> ") and (letter := process.stdout.read(1)):
            new += letter
        text += new
        process.stdin.write(f"{by_what_it_reads(new)}\n")
        process.stdin.flush()
        if "Nothing more is asked" in new:
            break
    process.stdin.close()
    text += process.stdout.read()
    assert (process.stderr.read(), process.wait()) == ("", 0)
    process.stdout.close()
    process.stderr.close()
    assert re.search(r"^Left; \d+ entries saved, (not signed|signed commissioned), in$", text, re.M)
    return text


def _told(data: bytes, left_out: int) -> list[dict[str, object]]:
    """The events without number, times, name and link; without the first ones and the resuming."""
    events = tomllib.loads(data.decode())["event"][left_out:]
    strip = ("n", "at", "by", "read_at", "link")
    return [{k: v for k, v in e.items() if k not in strip} for e in events if e["kind"] != "resumed"]
