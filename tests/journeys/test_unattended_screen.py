"""The same technician through the real screen: keys and drawn text alone give the same bytes."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.answers import RigError
from asleft.drill.rig import BuiltIn
from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import find
from asleft.settings import settings_file, update
from asleft.tui import Wizard
from asleft.unattended import begin, player
from asleft.unattended.jobs import virtual_unit
from asleft.unattended.player import play_on_screen
from journeys.test_from_home import REMEMBERED
from played import UNIT, session_bytes

SHORT = "quillfen-heron"
"""A unit whose whole visit is short."""


def test_the_player_knows_the_screen_and_nothing_behind_it() -> None:
    """Its module imports no room that holds the truth: what it does, it read off the screen.

    Of acts it knows how they are written, as anybody does who types one; nothing of a visit.
    """
    tree = ast.parse(Path(player.__file__).read_text("utf-8"))
    imported = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    imported |= {
        alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
    }
    ours = {name for name in imported if name.startswith("asleft")}
    words = "asleft.session.acts"
    assert ours == {"asleft.drill.answers", "asleft.drill.technician", words, "asleft.tui.drawn"}


def test_a_wide_screen_gives_the_same_bytes(tmp_path: Path) -> None:
    """What stands elsewhere on it is found all the same."""
    job = begin(tmp_path, find(UNIT), 4)
    try:
        play_on_screen(Wizard(job.visit, job.rig), size=(120, 40))
    finally:
        job.close()
    assert job.visit.path.read_bytes() == session_bytes(4)[1]


def test_settings_and_login_do_not_show_in_the_bytes(tmp_path: Path) -> None:
    """In a process of its own, with another locale, login, home and no colour, without a terminal.

    All that can be remembered is, and what is played without a person neither heeds nor changes it.
    """
    update(REMEMBERED)
    before = settings_file().read_bytes()
    strange = {
        **os.environ,
        "TZ": "Asia/Kathmandu",
        "LANG": "tr_TR.UTF-8",
        "USER": "somebody-else",
        "HOME": str(tmp_path),
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "NO_COLOR": "1",
        "COLUMNS": "40",
        "LINES": "10",
        "TERM": "dumb",
    }
    words = ["demo", "--unattended", "--seed", "4", "--equipment", SHORT, "--out", "out"]
    done = subprocess.run(
        [sys.executable, "-m", "asleft.cli", *words],
        cwd=tmp_path,
        env=strange,
        capture_output=True,
        text=True,
    )
    name, data = session_bytes(4, SHORT)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == f"out/{name}  commissioned\n"
    assert [p.name for p in (tmp_path / "out").iterdir()] == [name]
    assert (tmp_path / "out" / name).read_bytes() == data
    assert settings_file().read_bytes() == before


class Shy(BuiltIn):
    """The unit of a seed, but one reading is refused."""

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Its own answer to everything else."""
        if request.get("field") == "electrical.ground.resistance":
            return {"refused": "no lead long enough"}
        return super().ask(request)


def test_a_refusal_is_noted_on_the_screen_as_without_it(tmp_path: Path) -> None:
    """The note that something cannot be done comes through the entry line, to the same bytes."""
    unit, bytes_left = find(SHORT), []
    for screen in (False, True):
        job = begin(tmp_path / str(screen), unit, 1)
        rig = Shy(virtual_unit(unit, 1))
        try:
            if screen:
                play_on_screen(Wizard(job.visit, rig))
            else:
                headless(job.visit, rig)
        finally:
            job.close()
        bytes_left.append(job.visit.path.read_bytes())
    assert bytes_left[0] == bytes_left[1]
    assert b'outcome = "not commissioned"' in bytes_left[0]


class Babbling(BuiltIn):
    """The unit of a seed, but it forgets a unit of measure."""

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """A bare number for the altitude."""
        if request.get("field") == "identity.altitude":
            return {"typed": "12"}
        return super().ask(request)


def test_nonsense_from_the_rig_ends_the_play_with_its_reason(tmp_path: Path) -> None:
    """What the screen says of it is the error."""
    job = begin(tmp_path, find(UNIT), 1)
    try:
        with pytest.raises(RigError, match=r"identity\.altitude"):
            play_on_screen(Wizard(job.visit, Babbling(virtual_unit(find(UNIT), 1))))
    finally:
        job.close()
    assert job.visit.view.state.signature is None


def test_work_that_goes_in_a_circle_ends_with_a_reason(tmp_path: Path) -> None:
    """The number of acts has a limit here too."""
    job = begin(tmp_path, find(UNIT), 1)
    try:
        with pytest.raises(Stuck, match="After 2 acts"):
            play_on_screen(Wizard(job.visit, job.rig), most_acts=2)
    finally:
        job.close()
