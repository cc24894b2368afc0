"""An audit over a tree: every file a row, worst first, copies found, no cache believed over bytes."""

from __future__ import annotations

import csv
import io
import json
import os
import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic, sleep
from typing import Any

import pytest

from asleft.cli import main
from asleft.review.audit import audit
from asleft.review.going_on import Auditing
from asleft.review.row import Row
from asleft.review.rules import version
from asleft.review.store import Run
from review.sessions import SAMPLES, Event, session, where
from review.test_examine import back, lapsed, low_volts, with_note

NOW = datetime(2026, 12, 1, tzinfo=UTC)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of its own."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def audited(*paths: Path, **how: Any) -> list[Row]:
    """Every row, worst first."""
    with Run(NOW) as run:
        audit(paths, run, processes=1, **how)
        return list(run.rows())


def tree(folder: Path, **files: bytes) -> Path:
    """Files in a folder."""
    folder.mkdir(exist_ok=True)
    for name, data in files.items():
        (folder / f"{name}.toml").write_bytes(data)
    return folder


def test_a_name_that_is_no_text_is_a_row_like_any_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In every form of the answer, found again by it, and no other file suffers."""
    folder = tree(tmp_path / "t", fine=session(id="a"))
    name = os.path.join(os.fsencode(folder), b"odd \xff.toml")
    with open(name, "wb") as file:
        file.write(session(back, id="b", sample=1))
    with Run(NOW) as run:
        audit([folder], run, processes=1)
        worst, best = run.rows()
        run.again(worst)
        assert [row.file for row in run.page(0, words="odd")] == [os.fsdecode(name)]
        assert run.count() == 2
    assert worst.file == os.fsdecode(name)
    assert best.file == str(folder / "fine.toml")
    for form in ([], ["--json"], ["--csv"]):
        assert main(["audit", str(folder), *form]) in (0, 1)
        assert "odd" in capsys.readouterr().out


def test_worst_first_by_the_heaviest_mark(tmp_path: Path) -> None:
    """Damage, a breach, a signature that should not be, the clock, and last what nothing is said of."""
    sample = session(id="d")
    folder = tree(
        tmp_path / "t",
        clean=session(id="a", sample=1),
        clock=session(back, id="b", sample=2),
        breach=session(with_note(broke="EL-1"), id="c"),
        damaged=sample[:-200] + b"x" + sample[-199:],
        low=session(low_volts, id="e", sample=1),
        nothing=b"nothing of ours",
    )
    names = [Path(row.file).stem for row in audited(folder)]
    assert names == ["low", "nothing", "damaged", "breach", "clock", "clean"]


@pytest.mark.parametrize("last", ["signed", "not signed"])
def test_a_hold_that_fails_is_told_before_all_else(
    last: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line each: where, what, since when, how it was left; in text, CSV, JSON and the code, at any age."""

    def change(events: list[Event]) -> list[Event]:
        low = list(low_volts(events))
        return low if last == "signed" else low[:70]

    folder = tree(
        tmp_path / "t", bad=session(change, id="a"), nothing=b"nothing of ours", fine=session(sample=1)
    )
    assert main(["audit", str(folder)]) == 1
    head, line, *_ = capsys.readouterr().out.splitlines()
    assert head == "Holds that fail in a house as it was left: 3"
    signed = "signed commissioned" if last == "signed" else "not signed"
    assert line == (
        "  Orchard Foot 2: EL-2 Line to line, heat off: 180.0 V ± 1.3 V, outside 216.0 V to 253.0 V;"
        f" since 2026-06-01 13:42Z; left with power on, {signed}"
    )
    assert main(["audit", str(folder), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert [hold["check"] for hold in told["holds"]] == ["EL-2 unit", "EL-4 leg.l1", "EL-4 leg.l2"]
    assert told["holds"][0]["site"] == "Orchard Foot 2"
    assert told["sessions"][0]["holds"] == [
        {k: v for k, v in hold.items() if k not in ("file", "site")} for hold in told["holds"]
    ]
    assert main(["audit", str(folder), "--csv"]) == 1
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert rows[0]["holds"].startswith(line.strip())
    assert [bool(row["holds"]) for row in rows] == [True, False, False]


def test_no_hold_of_a_drill_or_a_demonstration_is_told(tmp_path: Path) -> None:
    """There is no house in danger."""
    folder = tree(tmp_path / "t", bad=session(low_volts, mode="demo"), fine=session(sample=1))
    assert [row.holds for row in audited(folder)] == [(), ()]


def test_a_hold_fails_since_it_failed_last_without_a_break(tmp_path: Path) -> None:
    """Set right in between, it began anew; with nothing told then, it is since its reading."""

    def twice(events: list[Event]) -> list[Event]:
        at = where(events, field="electrical.line.l1_l2")
        low = {**events[at], "typed": "180 V", "value": 180.0, "verdicts": ["EL-2 unit fail"]}
        good = {**events[at], "verdicts": ["EL-2 unit pass"]}
        times = ("2026-06-01T13:36:00Z", "2026-06-01T13:36:20Z", "2026-06-01T13:36:40Z")
        more = [{**event, "at": time} for event, time in zip((low, good, low), times, strict=True)]
        return [*events[:at], *more]

    def untold(events: list[Event]) -> list[Event]:
        return [{k: v for k, v in event.items() if k != "verdicts"} for event in twice(events)]

    for change in (twice, untold):
        (row,) = audited(tree(tmp_path / change.__name__, bad=session(change)))
        assert {hold.since for hold in row.holds if hold.check == "EL-2 unit"} == {"2026-06-01T13:36:40Z"}


def test_readings_that_two_sessions_share_to_the_digit_are_marked(tmp_path: Path) -> None:
    """Unless it is the same session, or one goes on from the other."""
    folder = tree(tmp_path / "t", one=session(id="one"), two=session(id="two"))
    assert [[m.rule for m in row.marks] for row in audited(folder)] == [["repeated"], ["repeated"]]
    folder = tree(tmp_path / "u", one=session(id="one"), two=session(id="one"))
    assert [row.marks for row in audited(folder)] == [(), ()]
    folder = tree(tmp_path / "v", one=session(id="one"), two=session(id="two", follows="one"))
    assert [row.marks for row in audited(folder)] == [(), ()]


def test_what_is_kept_is_taken_only_for_the_same_bytes(tmp_path: Path) -> None:
    """Changed behind its back, a file is judged by what it holds."""
    folder, cache = tree(tmp_path / "t", one=session()), tmp_path / "c" / "audit.sqlite"
    first = audited(folder, cache=cache)
    assert audited(folder, cache=cache) == first
    path = folder / "one.toml"
    before = path.stat()
    data = path.read_bytes()
    path.write_bytes(data.replace(b"238", b"239", 1))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert path.stat().st_size == before.st_size
    assert audited(folder, cache=cache)[0].chain == "broken"


def test_a_cache_that_says_something_else_is_ignored_by_a_full_audit(tmp_path: Path) -> None:
    """And a spoiled, older or foreign one is made anew, or done without."""
    folder, cache = tree(tmp_path / "t", one=session()), tmp_path / "audit.sqlite"
    right = audited(folder, cache=cache)
    with sqlite3.connect(cache) as db:
        db.execute("UPDATE result SET row = replace(row, '\"commissioned\"', '\"not commissioned\"')")
    assert audited(folder) == right
    for spoil in (b"", b"not a database at all" * 100, cache.read_bytes()[:3000]):
        cache.write_bytes(spoil)
        for extra in tmp_path.glob("audit.sqlite-*"):
            extra.unlink()
        assert audited(folder, cache=cache) == right
    with sqlite3.connect(cache) as db:
        db.execute("UPDATE result SET row = 'nonsense'")
    assert audited(folder, cache=cache) == right
    assert audited(folder, cache=tmp_path / "t" / "one.toml" / "x.sqlite") == right


def test_pipes_devices_loops_and_huge_files_are_rows_or_passed_over(tmp_path: Path) -> None:
    """Nothing hangs, nothing is read into memory."""
    folder = tree(tmp_path / "t", one=session())
    os.mkfifo(folder / "pipe.toml")
    (folder / "zero.toml").symlink_to("/dev/zero")
    (folder / "loop").symlink_to(folder)
    with (folder / "huge.toml").open("wb") as file:
        file.truncate(50_000_000)
    (folder / "\x1b[31m.toml").write_bytes(b"x")
    rows = audited(folder)
    assert [Path(row.file).name for row in rows if row.chain == "unreadable"] == [
        "\x1b[31m.toml",
        "huge.toml",
    ]
    assert len(rows) == 3


def test_a_path_named_twice_is_one_row_and_one_that_is_not_there_an_error(tmp_path: Path) -> None:
    """Trees may overlap."""
    folder = tree(tmp_path / "t", one=session())
    assert len(audited(folder, folder, folder / "one.toml")) == 1
    with pytest.raises(FileNotFoundError):
        audited(tmp_path / "none")


def test_many_files_are_judged_on_every_core_alike(tmp_path: Path) -> None:
    """The same rows as by one process."""
    folder = tmp_path / "t"
    folder.mkdir()
    for n in range(40):
        (folder / f"{n}.toml").write_bytes(session(id=f"s{n}", sample=n % 3)[: -n or None])
    with Run(NOW) as run:
        assert audit([folder], run, processes=2) == 40
        assert list(run.rows()) == audited(folder)


def test_pages_filters_and_sums(tmp_path: Path) -> None:
    """Every word of a filter must stand in it; signs of a pattern are letters."""
    folder = tree(tmp_path / "t", a=session(sample=0), b=session(sample=1), c=session(lapsed, sample=2))
    with Run(NOW) as run:
        audit([folder], run, processes=1)
        assert run.count() == 3
        assert [r.site for r in run.page(0, 2)] + [r.site for r in run.page(2, 2)] == [
            r.site for r in run.rows()
        ]
        assert run.count("orchard mina") == 1
        assert run.count("out-of-date") == 1
        assert run.count("orch%d") == run.count("orch_rd") == 0
        (unit,) = run.by("unit")
        assert (unit.sessions, unit.commissioned, unit.marked) == (3, 3, 1)
        assert sum(s.sessions for s in run.by("technician")) == 3
        assert run.most_wrong()[0].sessions >= 1


def test_as_json_and_as_a_table_it_is_strict_and_harmless(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 1 where something speaks against a session."""
    hostile = "=cmd|'x'!A1 \u202e [bold]"

    def named(events: list[Event]) -> list[Event]:
        at = where(events, field="identity.site")
        return [*events[:at], {**events[at], "typed": hostile, "value": hostile}, *events[at + 1 :]]

    data = session(named)
    folder = tree(tmp_path / "t", one=data, two=b"junk")
    assert main(["audit", str(folder), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert {row["chain"] for row in told["sessions"]} == {"whole", "unreadable"}
    assert set(told) == {"holds", "sessions", "rules", "summaries"}
    assert main(["audit", str(folder), "--csv"]) == 1
    out = capsys.readouterr().out
    assert "\u202e" not in out
    rows = list(csv.DictReader(io.StringIO(out)))
    assert len(rows) == 2
    assert rows[1]["site"].startswith("'=cmd")
    assert main(["audit", str(folder)]) == 1
    assert "\u202e" not in capsys.readouterr().out
    assert main(["audit", str(SAMPLES[0])]) == 0
    capsys.readouterr()
    assert main(["audit", str(folder), "--json", "--csv"]) == 2
    assert main(["audit", str(tmp_path / "none")]) == 2


def _ends(path: Path) -> tuple[Row, bool]:
    """A process that is ended from outside while it judges."""
    os._exit(1)


def test_a_process_ended_from_outside_is_said_and_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As a machine short of memory does; the exit code says that it could not be done."""
    monkeypatch.setattr("asleft.review.audit._in_a_process", _ends)
    tree(tmp_path / "t", **{f"n{n}": b"nothing" for n in range(40)})
    assert main(["audit", str(tmp_path / "t"), "--json"]) == 3
    heard = capsys.readouterr()
    assert heard.out == ""
    assert "ended from outside" in heard.err
    with Run(NOW) as run:
        work = Auditing([tmp_path / "t"], run)
        work.start()
        deadline = monotonic() + 60.0
        while not work.over and monotonic() < deadline:
            sleep(0.02)
        work.stop()
    assert "could not go on, and these are not all" in work.trouble


@pytest.mark.parametrize("what", ["RULES", "__version__"])
def test_results_by_another_program_or_other_rules_are_not_believed(
    what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is open is told by the checks, which may be others in the next version."""
    before = version()
    version.cache_clear()
    monkeypatch.setattr(f"asleft.review.rules.{what}", "2099-01")
    try:
        assert version() != before
    finally:
        version.cache_clear()
