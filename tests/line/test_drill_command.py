"""`asleft drill` and `asleft rig SHEET` as programs: lists, keys, new sheets, drills by another process."""

from __future__ import annotations

import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.equipment.library import find
from asleft.journal import files, read
from asleft.session.commitment import commitment
from drill.drills import UNIT

SHEET = f"""format = 1
title = "By another process"
unit = "{UNIT}"
seed = 1
hints = ["Look."]

[[fault]]
kind = "element-open"
where = "1"
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A sheet on disk."""
    path = tmp_path / "lesson.toml"
    path.write_text(SHEET, "utf-8")
    return path


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own for secrets and sessions."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def told(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """The JSON that a command prints."""
    assert main([*words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def program(*words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """The program as a person runs it."""
    env = {**os.environ, "PYTHONPATH": ":".join(filter(None, sys.path))}
    command = [sys.executable, "-m", "asleft.cli", *words]
    return subprocess.run(command, input=typed, capture_output=True, text=True, env=env, timeout=120)


def test_the_ready_lessons_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """With level, unit, time and aims; not what is wrong."""
    assert main(["drill"]) == 0
    text = capsys.readouterr().out
    lessons = told(capsys, "drill")["lessons"]
    assert len(lessons) >= 5
    for lesson in lessons:
        assert f"{lesson['name']}: {lesson['title']}" in text
    assert [lesson["level"] for lesson in lessons] == sorted(lesson["level"] for lesson in lessons)


def test_the_key_tells_faults_evidence_choices_and_the_way(
    sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every act of the way can be entered as it stands."""
    found = told(capsys, "drill", str(sheet), "--key")
    (fault,) = found["faults"]
    assert (fault["kind"], fault["size"], fault["where"]) == ("element-open", 1.0, "1")
    assert "EL-15 on stage.1 fails" in fault["evidence"]["what"]
    topics = {topic.id for topic in find(UNIT).equipment.topic}
    assert set(found["choices"]) <= topics
    assert found["choices"]
    report = next(act for act in found["way"] if act.startswith("report="))
    assert report == f"report=element-open@1 by {fault['evidence']['n']}"
    assert found["way"][-1] == "sign=not commissioned"
    assert main(["drill", str(sheet), "--key"]) == 0
    text = capsys.readouterr().out
    assert "Right choices" in text
    assert report in text


def test_the_way_of_the_key_played_by_hand_earns_full_marks(sheet: Path, tmp_path: Path) -> None:
    """But for the opening entry, its numbers are those of a drill."""
    from asleft.drill.classroom.ended import ended
    from asleft.drill.classroom.key import Key
    from asleft.drill.classroom.reference import reference
    from asleft.drill.classroom.sheet import stage
    from drill.drills import begun

    staged = stage(str(sheet), find)
    visit, _ = begun(tmp_path / "drill", staged)
    for _, act in Key(staged, reference(staged)).way():
        left, _, typed = act.partition("=")
        if left == "report":
            kind, _, by = typed.partition(" by ")
            typed = f"{kind} by {int(by) + 1}"
        visit.enter(left, typed)
    visit.enter("finish", "yes")
    over = ended(read(visit.path).events, visit.equipment)
    assert over.score.total == 100.0, over.lines
    visit.close()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["drill", "lesson.toml", "--seed", "1", "--key"], "not both"),
        (["drill", "nowhere.toml", "--key"], "nowhere.toml"),
        (["drill", "bad.toml", "--key"], "bad.toml:8:8: fault.1.kind"),
        (["drill", "bad.toml"], "needs a terminal"),
        (["drill", "--rig", "x", "--key", "lesson.toml"], "another machine"),
        (["drill", "--seed", "1", "--level", "4", "--key"], "--level"),
        (["drill", "--debrief", "lesson.toml"], "lesson.toml"),
        (["rig"], "SHEET"),
        (["rig", "lesson.toml", "--seed", "1"], "SHEET"),
        (["rig", "--healthy", "--level", "2"], "--healthy"),
    ],
)
def test_what_cannot_be_is_refused_in_a_line(
    words: list[str], said: str, sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, nothing on standard output."""
    (sheet.parent / "bad.toml").write_text(SHEET.replace("element-open", "phase-unbalance"), "utf-8")
    os.chdir(sheet.parent)
    assert main(words) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    assert said in heard.err
    assert "Traceback" not in heard.err


def test_a_new_sheet_is_written_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It can be drilled as it is, and is not written over."""
    out = tmp_path / "new.toml"
    words = ["drill", "new", "--equipment", UNIT, "--seed", "3", "--out", str(out)]
    assert main(words) == 0
    capsys.readouterr()
    assert told(capsys, "drill", str(out), "--key")["faults"]
    before = out.read_bytes()
    assert main(words) == 3
    assert out.read_bytes() == before


def test_played_by_itself_the_same_seed_gives_the_same_bytes_and_score(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever the home, twice."""
    found = []
    for name in ("one", "other"):
        out = tmp_path / name
        words = ("drill", "--unattended", "--headless", "--seed", "5", "--level", "2", "--out", str(out))
        (drill,) = told(capsys, *words)["drills"]
        file = Path(drill.pop("file"))
        found.append((drill, file.read_bytes()))
        assert [p.name for p in out.iterdir()] == [file.name]
    assert found[0] == found[1]
    assert len(found[0][0]["faults"]) == 2


LEFT_SAFE = ("power=off", "signoff.told=Mrs Low", "signoff.made_safe=isolated", "signoff.tagged=yes")
SIGNED = (*LEFT_SAFE, "sign=not commissioned")


def answered(rig: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    """What a rig said, line by line."""
    return [json.loads(line) for line in rig.stdout.splitlines()]


def typed(*requests: object) -> str:
    """Requests, a line each."""
    return "".join(json.dumps(request) + "\n" for request in requests)


def test_the_rig_of_a_sheet_promises_answers_and_reveals(sheet: Path, home: Path) -> None:
    """A line each way; after the end it refuses, and the promise holds."""
    program("drill", str(sheet), "--text", "--by", "Ada", typed="\n.leave\n")
    (path,) = (home / "sessions").glob("*.toml")
    hash = read(path).events[0]["hash"]
    program("enter", str(path), *SIGNED)
    asked = [{"do": "commit", "hash": hash}, {"do": "hint", "n": 1}, {"do": "power", "state": "off"}]
    end = {"do": "reveal", "session": path.read_text("utf-8")}
    promise, hint, power, reveal, after = answered(
        program("rig", str(sheet), typed=typed(*asked, end, {"do": "commit"}))
    )
    assert promise == {"hash": hash}
    assert commitment(reveal["sheet"], reveal["salt"]) == hash
    assert "\n".join(reveal["sheet"]) == SHEET
    assert reveal["hints"] == 1
    assert hint == {"shown": "Look."}
    assert power == {"done": True}
    assert "over" in after["refused"]


@pytest.mark.parametrize("rig", [["lesson.toml"], ["first-day"], ["--seed", "7", "--level", "2"]])
def test_one_line_gets_neither_sheet_nor_hint_nor_words(rig: list[str], sheet: Path) -> None:
    """Whatever is served: with or without a drill begun, the sheet is for its finished session."""
    words = [str(sheet)] if rig == ["lesson.toml"] else rig
    wrong = [{"do": "frob"}, {"do": ["reveal"]}, {"do": None}, {}]
    cold, hint, *unknown = answered(
        program("rig", *words, typed=typed({"do": "reveal"}, {"do": "hint", "n": 1}, *wrong))
    )
    assert [set(cold), set(hint)] == [{"refused"}, {"refused"}]
    assert unknown == [{"refused": "that is nothing this rig does"}] * len(wrong)
    _, begun, nonsense = answered(
        program(
            "rig", *words, typed=typed({"do": "commit"}, {"do": "reveal"}, {"do": "reveal", "session": "x"})
        )
    )
    assert [set(begun), set(nonsense)] == [{"refused"}, {"refused"}]


def test_a_rig_keeps_its_register_beside_the_sheet(sheet: Path, home: Path) -> None:
    """Of a ready lesson or a seed, which have no folder of their own, in the program's."""
    rigs = ([str(sheet)], ["first-day"], ["--seed", "7", "--level", "2"])
    for words in rigs:
        (promise,) = answered(program("rig", *words, typed=typed({"do": "commit"})))
        own = home / "registers"
        names = ("first-day", f"seed-7-level-2-{UNIT}") if words != [str(sheet)] else ()
        paths = [own / f"{name}.register.jsonl" for name in names] or [
            sheet.with_name("lesson.register.jsonl")
        ]
        assert any(promise["hash"] in path.read_text("utf-8") for path in paths if path.exists())


def test_where_a_sheet_cannot_have_it_beside_it_the_register_is_in_the_programs_folder(
    sheet: Path, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A read-only medium is no reason to teach nothing; where it is kept instead is said."""
    refuse_new_files_in(sheet.parent, monkeypatch)
    monkeypatch.setattr("sys.stdin", io.StringIO(typed({"do": "commit"})))
    assert main(["rig", str(sheet)]) == 0
    heard = capsys.readouterr()
    (kept,) = (home / "registers").glob("lesson-*.register.jsonl")
    assert str(kept) in heard.err
    assert json.loads(heard.out)["hash"] in kept.read_text("utf-8")


def test_a_register_that_cannot_be_written_is_not_left_for_another(sheet: Path, home: Path) -> None:
    """What it remembers would be forgotten, so nothing is served."""
    sheet.with_name("lesson.register.jsonl").mkdir()
    done = program("rig", str(sheet), typed=typed({"do": "commit"}))
    assert (done.returncode, done.stdout) == (3, "")
    assert "No drill is served without its register" in done.stderr
    assert not (home / "registers").exists()


def test_with_nowhere_to_write_nothing_is_served(
    sheet: Path, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """And the sentence names the place that was tried last."""
    refuse_new_files_in(sheet.parent, monkeypatch)
    refuse_new_files_in(home / "registers", monkeypatch)
    assert main(["rig", str(sheet)]) == 3
    heard = capsys.readouterr()
    assert heard.out == ""
    assert str(home / "registers") in heard.err


def refuse_new_files_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Make a folder one of a read-only medium for registers."""
    before = files.create_new

    def create(path: Path) -> int:
        if path.parent == folder:
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return before(path)

    monkeypatch.setattr(files, "create_new", create)


def test_a_drill_is_ended_by_enter_with_the_rig_that_it_was_begun_with(sheet: Path, home: Path) -> None:
    """Signed first; its debrief is told like any other."""
    program("drill", str(sheet), "--text", "--by", "Ada", typed="\n.leave\n")
    (path,) = (home / "sessions").glob("*.toml")
    early = program("enter", str(path), "finish=yes")
    assert early.returncode == 2
    assert "not signed" in early.stderr
    done = program("enter", str(path), *SIGNED, "finish=yes")
    assert done.returncode == 0, done.stderr
    assert read(path).events[-1]["kind"] == "revealed"
    assert "Element open at 1" in program("drill", "--debrief", str(path)).stdout
    again = program("enter", str(path), "finish=yes")
    assert "over already" in again.stderr


def test_a_drill_of_ones_own_seed_ends_unsigned_as_ever(home: Path) -> None:
    """Its key is no secret, and nobody is asked to sign for it."""
    words = ("drill", "--seed", "7", "--level", "1", "--text", "--by", "Ada")
    done = program(*words, typed=".finish\ny\n.leave\n")
    assert done.returncode == 0, done.stderr
    (path,) = (home / "sessions").glob("*.toml")
    assert read(path).events[-1]["kind"] == "revealed"
    assert "What was wrong" in done.stdout


def test_a_drill_as_text_is_left_gone_on_with_and_finished(sheet: Path, home: Path) -> None:
    """The unit runs in a process of its own, is found again by `open`, and the debrief can be read later."""
    begun = program("drill", str(sheet), "--text", "--by", "Ada", typed="\n.rig\n\n.leave\n")
    assert begun.returncode == 0, begun.stderr
    assert "Drill: By another process." in begun.stdout
    (path,) = (home / "sessions").glob("*.toml")
    events = read(path).events
    assert events[0]["kind"] == "drilled"
    assert events[1]["typed"] == "Ada"
    assert (home / "drill-secret").stat().st_mode & 0o777 == 0o600
    early = program("drill", "--debrief", str(path))
    assert early.returncode == 2
    assert "not finished" in early.stderr
    unsigned = program("open", str(path), "--text", typed=".finish\ny\n.leave\n")
    assert "only a signed one is finished" in unsigned.stdout
    program("enter", str(path), *SIGNED)
    over = program("open", str(path), "--text", typed=".finish\ny\n.leave\n")
    assert over.returncode == 0, over.stderr
    assert "Element open at 1" in over.stdout
    later = program("drill", "--debrief", str(path), "--json")
    assert json.loads(later.stdout)["faults"][0]["reported"] is None
    again = program("open", str(path), "--text", typed=".leave\n")
    assert again.returncode == 0


def test_a_drill_whose_rig_nobody_remembers_says_how_to_name_it(sheet: Path, home: Path) -> None:
    """And goes on once it is named, wherever the session lies."""
    program("drill", str(sheet), "--text", "--by", "Ada", typed="\n.leave\n")
    (path,) = (home / "sessions").glob("*.toml")
    (home / "drills.json").unlink()
    lost = program("open", str(path), "--text", typed=".leave\n")
    assert lost.returncode == 3
    assert "--rig" in lost.stderr
    rig = f"{sys.executable} -m asleft.cli rig {sheet}"
    found = program("open", str(path), "--text", "--rig", rig, typed=".leave\n")
    assert found.returncode == 0, found.stderr
    sheet.write_text(SHEET + "\n", "utf-8")
    other = program("open", str(path), "--text", "--rig", rig, typed=".leave\n")
    assert other.returncode == 3
    assert "another drill" in other.stderr


def test_a_drill_comes_from_another_machine_by_its_rig_alone(sheet: Path, home: Path) -> None:
    """Sheet and equipment file stay there; what the trainee's process is given, the brief brings."""
    rig = f"{sys.executable} -m asleft.cli rig {sheet}"
    program("drill", "--rig", rig, "--text", "--by", "Ada", typed="\n.leave\n")
    (path,) = (home / "sessions").glob("*.toml")
    program("enter", str(path), *SIGNED)
    done = program("open", str(path), "--text", typed=".finish\ny\n.leave\n")
    assert done.returncode == 0, done.stderr
    assert "Element open at 1" in done.stdout
    healthy = f"{sys.executable} -m asleft.cli rig --healthy"
    none = program("drill", "--rig", healthy, "--text", typed="")
    assert none.returncode == 3
    assert "holds no drill" in none.stderr


def test_all_that_is_wrong_with_a_sheet_is_said_a_line_each(
    sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No other command would list it."""
    sheet.write_text(SHEET.replace("element-open", "elements-open").replace("hints", "hinds"), "utf-8")
    for words in (["drill", str(sheet), "--key"], ["rig", str(sheet)], ["drill", str(sheet), "--text"]):
        assert main(words) == 2
        heard = capsys.readouterr()
        lines = heard.err.splitlines()
        assert heard.out == ""
        assert len(lines) >= 2
        assert all(line.startswith(f"asleft: {sheet}") for line in lines)
        assert any("elements-open" in line for line in lines)
        assert any("hinds" in line for line in lines)


def test_the_process_of_the_trainee_never_reads_the_sheet(
    sheet: Path, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is the rig that does; only where no drill comes of a sheet is it read to say why."""
    staged: list[object] = []
    monkeypatch.setattr("asleft.teaching._staged", staged.append)
    monkeypatch.setattr("sys.stdin", io.StringIO("\n.leave\n"))
    assert main(["drill", str(sheet), "--text", "--by", "Ada", "--out", str(home / "class")]) in (0, 1)
    assert "Technician" in capsys.readouterr().out
    assert staged == []
