"""The wizard as text over any stream: pipes, encodings, hostile input, signals, files not to be had."""

from __future__ import annotations

import errno
import io
import os
import signal
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest

from asleft import cli
from asleft.equipment.library import find
from asleft.face.drafts import Drafts
from asleft.journal import Chain, classify
from asleft.line.dialog.dialog import Dialog
from asleft.line.dialog.paper import WIDTH, Paper
from asleft.line.dialog.source import LONGEST
from asleft.unattended import Job, begin
from played import UNIT, session_file
from talking import Answers, lines, talk, turns

ASLEFT = [sys.executable, "-m", "asleft.cli"]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit in a folder of its own."""
    made = begin(tmp_path / "visits", find(UNIT), 3)
    yield made
    made.close()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home folder, for what the program keeps by itself."""
    folder = tmp_path / "home"
    folder.mkdir()
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(folder))
    for name in ("XDG_STATE_HOME", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    return folder


def run(*words: str, typed: bytes, **env: str) -> subprocess.CompletedProcess[bytes]:
    """The program itself over pipes."""
    return subprocess.run([*ASLEFT, *words], input=typed, capture_output=True, env={**os.environ, **env})


def test_only_plain_lines_come_out_whatever_goes_in(job: Job) -> None:
    """Escapes, direction marks, markup and half characters are refused or shown as signs that do nothing."""
    hostile = [
        "\x1b[31mred",
        "a\x00b",
        "\u202eevil",
        "[/red] [@click=app.quit]x[/]",
        "\udcff\udc80",
        "\x07\x08",
        ".\x1b[2J",
        ".go \x1b]0;title\x07",
        ".enter \x1b=\x1b",
        "{'a': 1}" * 60,
        "%s %d {0}",
        "漢字" * 60,
    ]
    code, text = talk(job.visit, hostile)
    assert code == 0
    assert not [c for c in text if c != "\n" and not c.isprintable()]
    assert "Not taken: character U+001B is not text; printable characters only." in text
    assert "Technician: [/red] [@click=app.quit]x[/], saved as entry 1." in text
    assert [e.written()["typed"] for e in job.visit.view.state.history] == [
        "[/red] [@click=app.quit]x[/]",
        "%s %d {0}",
        "漢字" * 60,
    ]
    wide = [line for line in text.splitlines() if "漢" in line and not line.startswith("> ")]
    assert wide
    columns = [sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in line) for line in wide]
    assert WIDTH - 1 <= max(columns) <= WIDTH


def test_a_line_without_end_is_refused_and_the_next_one_is_read(job: Job) -> None:
    """Nothing of it is taken, and nothing of it is taken for the next answer."""
    shown = io.StringIO()
    source = io.StringIO("x" * (3 * LONGEST) + "\nAda\n")
    assert Dialog(job.visit, None, source, shown).run() == 0
    assert f"Not taken: That line has more than {LONGEST} characters." in shown.getvalue()
    assert [e.written()["typed"] for e in job.visit.view.state.history] == ["Ada"]


def test_a_closed_standard_input_is_its_end(job: Job) -> None:
    """As where a program is started with none."""
    shown = io.StringIO()
    assert Dialog(job.visit, None, None, shown).run() == 0
    assert shown.getvalue().endswith(
        f"The input ended.\nLeft; 0 entries saved, not signed, in\n  {job.visit.path}\n"
    )


def test_a_person_at_a_terminal_sees_what_they_type_once(job: Job) -> None:
    """Through a pipe the line is written for them, at a terminal it stands there already."""

    class Terminal(Answers):
        def isatty(self) -> bool:
            return True

    shown = io.StringIO()
    Dialog(job.visit, None, Terminal(lines("Ada"), shown), shown).run()
    assert "> Technician: Ada, saved" in shown.getvalue()
    _, piped = talk(job.visit, ["Mill Lane"])
    assert "> Mill Lane\nSite: Mill Lane, saved" in piped


def test_lines_are_kept_to_78_columns() -> None:
    """A word that is wider is broken, a file's name never; wide letters count twice."""
    shown = io.StringIO()
    paper = Paper(shown)
    paper.say("word " * 40 + "x" * 200, "  ")
    paper.say("漢" * 100)
    paper.name("/" + "n" * 300)
    *fitted, name = shown.getvalue().splitlines()
    assert max(len(line) for line in fitted if "漢" not in line) == WIDTH
    assert [len(line) for line in fitted if "漢" in line] == [39, 39, 22]
    assert len(name) == 303


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_a_stream_gets_only_the_characters_that_it_has(encoding: str, tmp_path: Path) -> None:
    """Degrees and signs are spelled out, accents left off; what was typed in UTF-8 is recorded as typed."""
    path = tmp_path / "visits"
    words = ["new", "--text", "--equipment", UNIT, "--out", str(path)]
    typed = "Åsa\nHöhe 3 漢\n.go heat.design_temperature\n-5 °C\n"
    done = run(*words, typed=typed.encode(), PYTHONIOENCODING=encoding, HOME=str(tmp_path))
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode(encoding)
    if encoding == "ascii":
        assert "Technician: Asa, saved as entry 1." in text
        assert "Site: Hohe 3 ?, saved as entry 2." in text
        assert "23.0 degF (-5.0 degC), saved as entry 3." in text
    elif encoding == "utf-8":
        assert "Site: Höhe 3 漢, saved as entry 2." in text
        assert "23.0 °F (-5.0 °C), saved as entry 3." in text
    else:
        assert "°F" in text
    (file,) = path.iterdir()
    recorded = file.read_text("utf-8")
    if encoding != "latin-1":
        assert 'typed = "Åsa"' in recorded
        assert 'typed = "Höhe 3 漢"' in recorded


def test_lines_end_as_they_do_on_any_system_and_a_mark_in_front_is_no_text(tmp_path: Path) -> None:
    """CR LF, a byte order mark, no end on the last line; bytes that are no text are refused."""
    words = ["new", "--text", "--equipment", UNIT, "--out", str(tmp_path / "visits")]
    typed = b"\xef\xbb\xbfAda\r\n\xff\xfe\r\nMill Lane"
    done = run(*words, typed=typed, PYTHONUTF8="1", HOME=str(tmp_path))
    text = done.stdout.decode()
    assert done.returncode == 0
    assert "Technician: Ada, saved as entry 1." in text
    assert "Not taken: character U+DCFF is not text; printable characters only." in text
    assert "Site: Mill Lane, saved as entry 2." in text


def test_the_demo_asks_with_its_virtual_unit(tmp_path: Path) -> None:
    """`demo --text` needs no terminal and nothing else."""
    words = ["demo", "--text", "--seed", "4", "--out", str(tmp_path / "visits")]
    done = run(*words, typed=b".rig\n\n.leave\n", HOME=str(tmp_path))
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"Enter takes it." in done.stdout
    assert b"Left; 1 entry saved, not signed, in\n" in done.stdout


@pytest.mark.parametrize("words", [["demo", "--text", "--unattended"], ["new", "--text", "--json"]])
def test_what_excludes_text_is_refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """In a sentence that says which two do not go together."""
    assert cli.main(words) == 2
    assert "give one of them" in capsys.readouterr().err


def test_units_may_be_set_from_the_start(tmp_path: Path) -> None:
    """`--units si` holds for bare numbers and for what is shown."""
    path = session_file(tmp_path)
    done = run(
        "open", str(path), "--text", "--units", "si", typed=b".go identity.altitude\n", HOME=str(tmp_path)
    )
    assert b"Answer: a number in m, or with its unit." in done.stdout


# ---- files that cannot be had


def test_a_torn_file_is_opened_without_its_last_entry_and_that_is_said(tmp_path: Path, home: Path) -> None:
    """As the screen says it."""
    path = session_file(tmp_path)
    path.write_bytes(path.read_bytes()[:-40])
    done = run("open", str(path), "--text", typed=b"")
    assert done.returncode == 0
    said = " ".join(done.stdout.decode().split())
    assert "The last entry was cut short; its bytes are kept in" in said
    assert classify(path.read_bytes()).chain is Chain.WHOLE


def test_a_broken_file_and_no_file_are_refused(tmp_path: Path, home: Path) -> None:
    """Exit 2 and a sentence; nothing is asked."""
    path = session_file(tmp_path)
    path.write_bytes(path.read_bytes().replace(b"Tarnfield", b"Tarnfjeld", 1))
    for file in (path, tmp_path / "none.toml"):
        done = run("open", str(file), "--text", typed=b"Ada\n")
        assert (done.returncode, done.stdout) == (2, b"")
        assert done.stderr.startswith(b"asleft: ")
        assert done.stderr.count(b"\n") == 1


def test_a_file_that_somebody_else_writes_to_is_refused(job: Job, home: Path) -> None:
    """One writer at a time; exit 3."""
    done = run("open", str(job.visit.path), "--text", typed=b"Ada\n")
    assert (done.returncode, done.stdout) == (3, b"")
    assert done.stderr.count(b"\n") == 1


class FullDisk:
    """Lets no byte onto the disk for this session while it lasts."""

    def __init__(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.full = False
        inode, write = path.stat().st_ino, os.write

        def call(descriptor: int, data: bytes) -> int:
            if self.full and os.fstat(descriptor).st_ino == inode:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return write(descriptor, data)

        monkeypatch.setattr(os, "write", call)


def test_what_cannot_be_saved_is_kept_and_offered_until_it_can(
    job: Job, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Said in a sentence; Enter tries again; leaving meanwhile says what is not saved, and exits with 3."""
    disk = FullDisk(job.visit.path, monkeypatch)
    drafts = tmp_path / "drafts.json"
    disk.full = True
    code, text = talk(job.visit, ["Ada Calder", "", ".where"], drafts=Drafts(drafts))
    failed, again, where = (" ".join(turn.split()) for turn in turns(text)[1:4])
    assert code == 3
    for turn in (failed, again):
        assert "Not saved: " in turn
        assert "no space left" in turn.casefold()
        assert "What was entered is kept." in turn
        assert ".elsewhere FOLDER saves in another folder, Enter tries again." in turn
        assert "Enter alone takes what is not saved yet: Ada Calder" in turn
    assert "NOT SAVED: Technician." in where
    assert "NOT SAVED: Technician." in " ".join(turns(text)[-1].split())
    assert job.visit.view.state.last_n == 0
    disk.full = False
    code, text = talk(job.visit, [""], drafts=Drafts(drafts))
    assert code == 0
    assert "Enter alone takes what was typed: Ada Calder" in text
    assert "Technician: Ada Calder, saved as entry 1." in text


def test_the_session_goes_on_in_another_folder(
    job: Job, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, home: Path
) -> None:
    """With everything in it and what could not be saved, in order; a folder that is none is refused."""
    job.visit.enter("identity.technician", "Ada")
    disk = FullDisk(job.visit.path, monkeypatch)
    first = job.visit.path
    (tmp_path / "stick").mkdir()

    def answer(new: str) -> str | None:
        disk.full = "Site: " not in new
        return next(typed, None)

    typed = iter(
        [
            ".elsewhere",
            "Mill Lane",
            ".note left open",
            ".elsewhere",
            f".elsewhere {tmp_path / 'nowhere'}",
            f".elsewhere {tmp_path / 'stick'}",
            "Lowmoor LM36E",
        ]
    )
    code, text = talk(job.visit, answer)
    works, _, _, bare, wrong, moved, on = (" ".join(turn.split()) for turn in turns(text)[1:8])
    assert code == 0
    assert "Not taken: saving works, and the session stays where it is." in works
    assert f"such as {home}" in bare
    assert "Not there: " in wrong
    assert f"The session is now in {tmp_path / 'stick' / first.name} " in moved
    assert "Model on the data plate: Lowmoor LM36E, saved as entry 4." in on
    assert job.visit.path.parent == tmp_path / "stick"
    contents = classify(job.visit.path.read_bytes())
    assert contents.chain is Chain.WHOLE
    assert [e.get("typed") or e.get("text") for e in contents.events] == [
        "Ada",
        "Mill Lane",
        "left open",
        "Lowmoor LM36E",
    ]


def test_an_undo_that_cannot_be_saved_is_said_and_asked_anew(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not half confirmed."""
    job.visit.enter("identity.technician", "Ada")
    disk = FullDisk(job.visit.path, monkeypatch)
    disk.full = True
    _, text = talk(job.visit, [".undo", "y", ".undo", "n"])
    said = " ".join(text.split())
    assert ".elsewhere FOLDER saves in another folder, .undo tries again." in said
    assert said.count("Undo: event 1, Technician: Ada. y does it.") == 2
    assert job.visit.view.state.text("identity.technician") == "Ada"


# ---- signals


def started(folder: Path, *more: str) -> subprocess.Popen[str]:
    """The program at its first prompt."""
    process = subprocess.Popen(
        [*ASLEFT, "new", "--text", "--equipment", UNIT, "--out", str(folder / "visits"), *more],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "HOME": str(folder)},
    )
    until(process, "\n> ")
    return process


def until(process: subprocess.Popen[str], end: str) -> str:
    """What it writes up to these characters."""
    assert process.stdout
    text = ""
    while not text.endswith(end):
        letter = process.stdout.read(1)
        assert letter, text
        text += letter
    return text


@pytest.mark.skipif(os.name != "posix", reason="signals as they are sent here")
@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_a_signal_leaves_in_good_order(number: int, code: int, tmp_path: Path) -> None:
    """Between a question and its answer: what is saved is said, and the file is whole."""
    process = started(tmp_path)
    assert process.stdin
    process.stdin.write("Ada\n")
    process.stdin.flush()
    until(process, "\n> ")
    process.send_signal(number)
    out, err = process.communicate()
    assert (process.returncode, err) == (code, "")
    assert out.startswith("\nLeft; 1 entry saved, not signed, in\n  ")
    (path,) = (tmp_path / "visits").iterdir()
    assert classify(path.read_bytes()).chain is Chain.WHOLE


@pytest.mark.skipif(os.name != "posix", reason="signals as they are sent here")
def test_a_signal_ends_the_waiting_for_a_rig(tmp_path: Path) -> None:
    """A rig that never answers holds nobody up."""
    silent = f"{sys.executable} -c 'import time; time.sleep(300)'"
    process = started(tmp_path, "--rig", silent)
    assert process.stdin
    process.stdin.write(".rig\n")
    process.stdin.flush()
    until(process, "Asking the rig.\n")
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=20)
    assert (process.returncode, err) == (130, "")
    assert "The rig had not answered yet, and may have done this: Technician." in out
    assert "Left; 0 entries saved, not signed, in" in out


def test_a_signal_while_an_entry_is_saved_waits_for_it(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is on disk is what is said to be; afterwards the signal means what it meant before."""
    fsync, meant = os.fsync, signal.getsignal(signal.SIGINT)

    def interrupted(descriptor: int) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", interrupted)
    code, text = talk(job.visit, ["Ada", "never taken"])
    assert code == 130
    assert "Technician: Ada, saved as entry 1." in text
    assert "Left; 1 entry saved, not signed, in" in text
    assert len(classify(job.visit.path.read_bytes()).events) == 1
    assert signal.getsignal(signal.SIGINT) is meant


def test_a_reader_that_goes_away_is_no_trouble(tmp_path: Path) -> None:
    """Piped into something that stops reading, the program ends without a word."""
    process = started(tmp_path)
    assert process.stdin
    assert process.stdout
    assert process.stderr
    process.stdout.close()
    process.stdin.write(".help\n")
    process.stdin.close()
    assert process.stderr.read() == ""
    process.stderr.close()
    assert process.wait() == 0


def test_a_rig_that_is_no_program_is_said_before_anything_is_asked(tmp_path: Path) -> None:
    """One sentence, exit 3."""
    done = run(
        "open", str(session_file(tmp_path)), "--text", "--rig", "/no/such/rig", typed=b"", HOME=str(tmp_path)
    )
    assert (done.returncode, done.stdout) == (3, b"")
    assert b"could not be started" in done.stderr
