"""`enter`, `next`, `plan` and `fields`: a whole visit can be worked without a screen."""

from __future__ import annotations

import csv
import json
import re
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from asleft.cli import main
from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.journal import classify
from asleft.line.enter import Usage, pairs_from, pairs_of, run
from asleft.line.fields import every_field
from asleft.unattended import begin
from played import UNIT, begun_at, cut_after, nexts_of, session_bytes, session_file

NEXT_KEYS = {
    "do",
    "pane",
    "options",
    "value",
    "state",
    "code",
    "outcome",
    "finding",
    "enter",
    "text",
    "why",
}


@pytest.fixture
def begun(tmp_path: Path) -> Path:
    """A session of twenty events."""
    path = tmp_path / "visit.toml"
    path.write_bytes(cut_after(session_bytes()[1], 20))
    return path


def asked(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    """The JSON that a command prints."""
    assert main([*words, "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out))


def test_next_says_one_thing_ready_to_enter(begun: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All keys are there, one subject among them, and `enter` is the left side."""
    found = asked(capsys, "next", str(begun))
    about = set(found) - NEXT_KEYS
    assert set(found) >= NEXT_KEYS
    assert about in ({"field"}, {"setting", "address"}, {"topic"}, set())
    assert found["enter"]
    assert found["text"]


def test_next_on_a_signed_session_is_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The work is done."""
    assert asked(capsys, "next", str(session_file(tmp_path)))["do"] == "nothing"


def test_next_gives_a_code_in_parts_each_with_its_address(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As a list to key in turn; a code of one part stays a string."""
    job = begin(tmp_path, find("marrowby-linnet-30"), 1)
    asked_for: dict[str, object] = {}
    try:
        while job.visit.view.next.do != "sign":
            following = job.visit.view.next
            if following.do == "write" and following.code:
                path = shutil.copy(job.visit.path, tmp_path / "copy")
                asked_for[following.setting] = asked(capsys, "next", str(path))["code"]
            job.visit.submit(*act(job.visit.view, job.rig))
    finally:
        job.close()
    word = asked_for["patience-word"]
    assert isinstance(word, list)
    assert [part["address"] for part in word] == ["wall", "wall", "wall", "board"]
    assert [part["characters"] for part in word][::3] == ["ooo", "aye-14"]


def test_next_as_text_gives_the_line_to_type(begun: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A person can copy the left side from it."""
    assert main(["next", str(begun)]) == 0
    assert "\nEnter: " in capsys.readouterr().out


def test_acts_are_saved_in_order(begun: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each is an event of its own, behind a `resumed`, by the technician of the session."""
    words = [str(begun), "identity.site=Mill Lane = 4", "note=gate was locked"]
    found = asked(capsys, "enter", *words)
    assert (found["saved"], found["refused"]) == (2, None)
    tail = begun.read_text("utf-8").split("[[event]]")[-3:]
    assert 'kind = "resumed"' in tail[0]
    assert 'typed = "Mill Lane = 4"' in tail[1]
    assert 'text = "gate was locked"' in tail[2]


def test_the_first_refusal_stops_and_keeps_what_was_saved(
    begun: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, what was wrong and what would be right on one line, and the acts before it stay."""
    code = main(["enter", str(begun), "note=one", "identity.altitude=1,5 km", "note=two"])
    said = capsys.readouterr()
    assert code == 2
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "identity.altitude=1,5 km refused" in said.err
    assert "1 saved before it" in said.err
    text = begun.read_text("utf-8")
    assert 'text = "one"' in text
    assert 'text = "two"' not in text


@pytest.mark.parametrize(
    "act",
    [
        "no.such.field=3",
        "choose:nothing=1",
        "found:nothing@here=1",
        "acknowledge:XX-1=yes",
        "waive:EL-2/unit=because",
        "sign=commissioned",
        "sign=perhaps",
        "power=half",
        "retract:999=why",
        "dance:now=yes",
        "identity.site=\x1b[2J",
        "identity.site=",
    ],
)
def test_what_may_not_be_entered_is_2_and_changes_nothing(
    begun: Path, act: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Refused input leaves the file as it was, byte for byte."""
    before = begun.read_bytes()
    assert main(["enter", str(begun), act]) == 2
    assert begun.read_bytes() == before
    assert "\x1b" not in capsys.readouterr().err


def test_a_table_of_acts_is_entered_row_by_row(
    begun: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """--from takes left,value, quoted cells and blank lines included."""
    table = tmp_path / "acts.csv"
    with table.open("w", newline="", encoding="utf-8-sig") as stream:
        csv.writer(stream).writerows(
            [["left", "value"], ["note", 'said "fine", then left'], [], ["note", "é"]]
        )
    assert asked(capsys, "enter", str(begun), "--from", str(table))["saved"] == 2
    assert 'said \\"fine\\", then left' in begun.read_text("utf-8")


def test_a_table_brings_the_times_of_its_readings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A column read_at: ten minutes of heat entered at once are ten minutes where it says so, else none."""
    minutes = [f"heat.minute.{n}.current" for n in range(1, 11)]
    before = next(n for n, left in nexts_of() if left == minutes[0])
    whole = classify(session_bytes()[1]).events
    typed = {e["field"]: e["typed"] for e in whole if e["kind"] == "entered"}
    began = datetime.fromisoformat(whole[before - 1]["at"])
    now = f"{began + timedelta(hours=1):%Y-%m-%dT%H:%M:%SZ}"
    verdicts = {}
    for name, apart_s in (("timed", 60), ("hasty", 0)):
        job = begun_at(tmp_path / name, minutes[0])
        job.visit.close()
        table = tmp_path / f"{name}.csv"
        with table.open("w", newline="") as stream:
            rows = csv.writer(stream)
            rows.writerow(["left", "value", "read_at"])
            for n, minute in enumerate(minutes):
                rows.writerow([minute, typed[minute], (began + timedelta(seconds=n * apart_s)).isoformat()])
            rows.writerow(["note", "by the logger", ""])
        run(job.visit.path, pairs_from(table), {}, by="", clock=lambda: now, as_json=False)
        capsys.readouterr()
        main(["check", str(job.visit.path), "--json"])
        findings = json.loads(capsys.readouterr().out)["findings"]
        verdicts[name] = next(f["verdict"] for f in findings if f["id"] == "HS-16")
    assert verdicts == {"timed": "pass", "hasty": "not measured"}


@pytest.mark.parametrize(
    ("second", "why"),
    [
        ("2031-05-04T09:29:59Z", "row 4: read_at 2031-05-04T09:29:59Z is earlier than a row above it"),
        ("2031-05-04T10:29:00+01:00", "earlier than a row above it"),
        ("2031-05-04T09:30:00", "row 4: read_at '2031-05-04T09:30:00' has no zone"),
        ("half past nine", "row 4: read_at 'half past nine' is no time"),
    ],
)
def test_a_table_with_a_time_that_cannot_be_is_refused_whole(second: str, why: str, tmp_path: Path) -> None:
    """Its rows are acts in order, and it is said in which row the time stands, before anything is entered."""
    table = tmp_path / "acts.csv"
    table.write_text(f"left,value,read_at\na,1,2031-05-04T09:30:00Z\nb,2,\nc,3,{second}\n", "utf-8")
    with pytest.raises(Usage, match=re.escape(why)):
        pairs_from(table)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"value,left\n1,note\n",
        b"left,value\nnote\n",
        b"left,value\nnote,a,b\n",
        b"left,value\n,a\n",
        b"left,value,read_at\nnote,a\n",
        b"\xff\xfe",
    ],
)
def test_a_table_that_is_none_is_said(content: bytes, tmp_path: Path) -> None:
    """Wrong header, wrong width, no UTF-8: each is refused before anything is entered."""
    table = tmp_path / "acts.csv"
    table.write_bytes(content)
    with pytest.raises(Usage, match=r"acts\.csv"):
        pairs_from(table)


def test_words_without_an_equals_sign_are_no_acts() -> None:
    """The value may hold one, the left side must end at the first."""
    assert pairs_of(["a=b=c", "note="]) == [("a", "b=c", ""), ("note", "", "")]
    with pytest.raises(Usage, match="LEFT=VALUE"):
        pairs_of(["power"])
    with pytest.raises(Usage):
        pairs_of(["=off"])


def test_the_plan_lists_every_step(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In order, all done at the end, with exactly the keys that scripts know."""
    path = session_file(tmp_path)
    steps = asked(capsys, "plan", str(path))["steps"]
    assert isinstance(steps, list)
    assert [step["n"] for step in steps] == list(range(1, len(steps) + 1))
    keys = ["n", "do", "setting", "address", "value", "guards", "done", "text"]
    assert all(list(step) == keys for step in steps)
    assert all(step["done"] for step in steps)
    assert {"look", "write", "read_back"} <= {step["do"] for step in steps}
    assert main(["plan", str(path)]) == 0
    assert "  1. done" in capsys.readouterr().out


def test_fields_are_the_same_for_a_session_and_its_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a session asks for is among what its unit can ask for; `changed_by` names settings of the file."""
    session = asked(capsys, "fields", str(session_file(tmp_path)))["fields"]
    unit = asked(capsys, "fields", "--equipment", UNIT)["fields"]
    assert isinstance(session, list)
    assert isinstance(unit, list)
    ids = [field["id"] for field in unit]
    assert len(ids) == len(set(ids))
    assert {field["id"] for field in session} <= set(ids)
    keys = ["id", "kind", "pane", "label", "help", "unit", "choices", "conditions", "changed_by"]
    assert all(list(field) == keys for field in unit)
    settings = {setting.id for setting in find(UNIT).equipment.setting}
    changed = {id for field in unit for id in field["changed_by"]}
    assert changed
    assert changed <= settings


def test_fields_without_a_unit_are_the_templates(capsys: pytest.CaptureFixture[str]) -> None:
    """Subjects stay in braces, and roles stand for settings."""
    fields = asked(capsys, "fields")["fields"]
    assert isinstance(fields, list)
    static = next(f for f in fields if f["id"] == "blower.static.supply")
    assert (static["unit"], static["changed_by"], static["conditions"]) == ("Pa", ["blower-tier"], ["blower"])
    assert any("{circuit}" in f["id"] for f in fields)


def test_every_field_of_a_unit_stands_in_ledger_order() -> None:
    """Whatever kit is fitted, the order is that of the ledger: panes do not mix."""
    panes = [field.pane for field in every_field(find(UNIT).equipment)]
    assert panes == sorted(panes, key=("identity", "electrical", "blower", "heat", "delay", "signoff").index)
