"""The unattended technician plays a visit without a screen, from an empty file to the signature."""

from __future__ import annotations

import hashlib
import os
import shlex
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.drill.rig import BuiltIn, ask
from asleft.drill.technician import SimulatedClock, Stuck, headless
from asleft.equipment.library import find
from asleft.line.reading import read_session
from asleft.session.acts import ReadBack
from asleft.unattended import begin, play
from asleft.unattended.jobs import virtual_unit
from played import UNIT, blocks, session_bytes, session_file


def verified_events(data: bytes) -> list[dict[str, object]]:
    """The events of a session file whose chain holds, by nothing but a TOML reader and a hash."""
    link, block = "", b""
    for line in data.splitlines(keepends=True):
        if line.startswith(b'link = "'):
            link = hashlib.sha256(link.encode("ascii") + block).hexdigest()
            assert line == f'link = "{link}"\n'.encode("ascii")
            block = b""
        else:
            block += line
    assert block == b""
    session = tomllib.loads(data.decode("utf-8"))
    equipment = "\n".join(session["equipment"]["lines"]).encode("utf-8")
    assert hashlib.sha256(equipment).hexdigest() == session["equipment"]["sha256"]
    assert [event["n"] for event in session["event"]] == list(range(1, len(session["event"]) + 1))
    return list(session["event"])


@pytest.mark.parametrize("seed", [1, 4, 11, 27])
def test_a_healthy_unit_ends_commissioned(seed: int, tmp_path: Path) -> None:
    """Whatever the site, every check passes and nothing is waived; a stranger can verify the file."""
    path = session_file(tmp_path, seed)
    events = verified_events(path.read_bytes())
    assert events[-1]["kind"] == "signed"
    assert events[-1]["outcome"] == "commissioned"
    assert not [e for e in events if e["kind"] in ("waived", "retracted", "noted")]
    assert main(["check", str(path)]) == 0


def test_the_unit_is_left_as_recommended(tmp_path: Path) -> None:
    """Every setting that the virtual unit shows at the end is the one of the recommended options."""
    equipment = find(UNIT)
    job = begin(tmp_path, equipment, 5)
    try:
        view = headless(job.visit, job.rig)
        assert view.forecast.topics
        for topic in view.equipment.topic:
            outlook = view.forecast.topics[topic.id]
            assert outlook.recommended
            option = view.ledger.option(topic, outlook.recommended)
            assert option
            for id, value in option.set.items():
                setting = view.equipment.setting_of(id)
                assert setting
                for address in setting.address:
                    shown = ask(job.rig, view, ReadBack(id, address)).typed
                    code = view.equipment.code_of(id, value)
                    assert shown == (code.shown if code else value), (id, address)
    finally:
        job.close()


def test_the_same_seed_gives_the_same_bytes_anywhere(tmp_path: Path) -> None:
    """Neither locale nor time zone, login, home folder, hash seed or working folder changes a byte."""
    name, data = session_bytes(11)
    strange = {
        **os.environ,
        "TZ": "Asia/Kathmandu",
        "LC_ALL": "tr_TR.UTF-8",
        "LANG": "de_DE.UTF-8",
        "LOGNAME": "somebody-else",
        "USER": "somebody-else",
        "HOME": str(tmp_path),
        "XDG_DATA_HOME": str(tmp_path / "data"),
        "PYTHONHASHSEED": "77",
        "NO_COLOR": "1",
    }
    command = [sys.executable, "-m", "asleft.cli", "demo", "--unattended", "--headless", "--seed", "11"]
    done = subprocess.run(
        [*command, "--equipment", UNIT, "--out", "out"],
        cwd=tmp_path,
        env=strange,
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert [p.name for p in (tmp_path / "out").iterdir()] == [name]
    assert (tmp_path / "out" / name).read_bytes() == data


def test_different_seeds_are_different_jobs() -> None:
    """Another seed is another site, day and id."""
    assert session_bytes(4)[1] != session_bytes(11)[1]
    assert session_bytes(4)[0] != session_bytes(11)[0]


def test_count_plays_one_seed_after_another(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Seeds N to N+K-1, a line each, and nothing but sessions in the folder."""
    assert (
        main(["demo", "--unattended", "--headless", "--seed", "3", "--count", "2", "--out", str(tmp_path)])
        == 0
    )
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    assert all(line.endswith("  commissioned") for line in lines)
    assert sorted(line.rpartition("  ")[0] for line in lines) == sorted(map(str, tmp_path.iterdir()))
    assert (tmp_path / session_bytes(4)[0]).read_bytes() == session_bytes(4)[1]


def test_the_virtual_unit_as_a_program_gives_the_same_bytes(tmp_path: Path) -> None:
    """`asleft rig` behind --rig is the built-in unit of that seed."""
    unit = find(UNIT)
    command = shlex.join(
        [sys.executable, "-m", "asleft.cli", "rig", "--healthy", "--seed", "4", "--equipment", UNIT]
    )
    assert play(tmp_path, unit, 4, command=command).path.read_bytes() == session_bytes(4)[1]


def test_every_reading_was_taken_in_the_state_it_belongs_to(tmp_path: Path) -> None:
    """Nothing is measured live before the isolation is recorded, and power is on for what needs it."""
    found = read_session(session_file(tmp_path))
    assert found.view
    fields = found.view.ledger.fields
    power = "on"
    for event in found.contents.events:
        if event["kind"] == "powered":
            power = event["state"]
        elif event["kind"] == "entered" and (state := fields[event["field"]].state):
            assert power == ("off" if state in ("dead", "isolated") else "on"), event["field"]


def test_what_was_typed_stands_beside_what_it_means(tmp_path: Path) -> None:
    """A reading keeps the words typed, the value and unit in the base unit, and its instrument."""
    events = verified_events(session_bytes(11)[1])
    volts = next(e for e in events if e.get("field") == "electrical.line.l1_l2")
    assert volts["unit"] == "V"
    assert str(volts["typed"]).endswith("V")
    assert volts["instrument"]


def test_the_session_opens_again_where_it_was_left(tmp_path: Path) -> None:
    """Cut after any event, the file is whole and next goes on from there."""
    name, data = session_bytes(11)
    parts = blocks(data)
    for events in (1, len(parts) // 2, len(parts) - 2):
        path = tmp_path / name
        path.write_bytes(b"".join(parts[: events + 1]))
        found = read_session(path)
        assert found.whole
        assert found.view
        assert found.view.next.do not in ("nothing", "")


def test_the_clock_does_not_depend_on_this_computer() -> None:
    """A seed gives a day; every event comes a fixed step later."""
    clock, same, other = SimulatedClock(1), SimulatedClock(1), SimulatedClock(2)
    first, second = clock(), clock()
    assert (first, second) == (same(), same())
    assert first != other()
    assert first < second
    assert len(first) == len("2026-01-05T08:00:00Z")


def test_work_that_goes_in_a_circle_ends_with_a_reason(tmp_path: Path) -> None:
    """The number of acts has a limit, and running into it is said."""
    job = begin(tmp_path, find(UNIT), 1)
    try:
        with pytest.raises(Stuck, match="After 3 acts"):
            headless(job.visit, job.rig, most_acts=3)
    finally:
        job.close()


def test_a_reading_refused_is_not_asked_for_again(tmp_path: Path) -> None:
    """What cannot be measured is noted once; the unit is left safe and signed as not commissioned."""

    class Shy(BuiltIn):
        """A rig that will not take one reading."""

        asked = 0

        def ask(self, request: object) -> dict[str, object]:  # type: ignore[override]
            """The unit's own answer to everything else."""
            assert isinstance(request, dict)
            if request.get("field") == "electrical.ground.resistance":
                self.asked += 1
                return {"refused": "no lead long enough"}
            return super().ask(request)

    job = begin(tmp_path, find(UNIT), 1)
    rig = Shy(virtual_unit(find(UNIT), 1))
    try:
        view = headless(job.visit, rig)
    finally:
        job.close()
    assert rig.asked == 1
    assert view.state.signature
    assert view.state.signature.outcome == "not commissioned"
    assert view.ledger.refused("electrical.ground.resistance")
    assert not view.state.waivers
    assert view.state.power == "off"


class Stubborn(BuiltIn):
    """The unit of a seed with one request answered otherwise."""

    def __init__(self, seed: int, do: str, setting: str) -> None:
        super().__init__(virtual_unit(find(UNIT), seed))
        self.what = (do, setting)
        self.asked = 0

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """A look refused, a write that leaves what was there; all else as the unit does."""
        if (request["do"], request.get("setting")) != self.what:
            return super().ask(request)
        self.asked += 1
        if request["do"] == "look":
            return {"refused": "the display is dark"}
        return super().ask({**{k: v for k, v in request.items() if k != "value"}, "do": "look"})


@pytest.mark.parametrize(
    ("do", "setting", "asked"),
    [("write", "frost-gate", 2), ("write", "silent-line", 2), ("look", "trail", 1)],
)
def test_a_setting_that_will_not_be_had_is_given_up(
    do: str, setting: str, asked: int, tmp_path: Path
) -> None:
    """Written once more and no more, not looked at again once refused; then left safe and said not ready."""
    rig = Stubborn(4, do, setting)
    job = begin(tmp_path, find(UNIT), 4)
    try:
        view = headless(job.visit, rig)
    finally:
        job.close()
    assert rig.asked == asked
    assert view.state.signature
    assert view.state.signature.outcome == "not commissioned"
    assert view.state.power == "off"
    assert not view.state.waivers
    verified_events(job.visit.path.read_bytes())
