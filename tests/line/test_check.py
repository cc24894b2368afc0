"""`check`: every finding recomputed from the file alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from asleft.checks.catalogue import catalogue
from asleft.cli import main
from played import blocks, cut_after, relinked, session_bytes, session_file
from review.sessions import session
from review.test_examine import senseless

KEYS = [
    "id",
    "subject",
    "severity",
    "verdict",
    "value",
    "unit",
    "uncertainty",
    "limit",
    "margin",
    "probability",
    "waived",
    "text",
]
VERDICTS = {"pass", "conditional pass", "conditional fail", "fail", "not measured", "not applicable"}


def checked(path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, object]]:
    """Exit code and JSON of `check`."""
    code = main(["check", str(path), "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_a_commissioned_session_is_fine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whole, signed, nothing open: exit 0, and every finding has all its keys."""
    code, found = checked(session_file(tmp_path), capsys)
    assert code == 0
    assert list(found) == ["chain", "signed", "outcome", "findings", "causes"]
    assert (found["chain"], found["signed"], found["outcome"], found["causes"]) == (
        "whole",
        True,
        "commissioned",
        [],
    )
    findings = found["findings"]
    assert isinstance(findings, list)
    assert findings
    for finding in findings:
        assert list(finding) == KEYS
        assert finding["verdict"] in VERDICTS
        assert set(finding["limit"]) == {"lower", "upper"}
        assert finding["value"] is not None or finding["unit"] is None
    volts = next(f for f in findings if f["id"] == "EL-2")
    assert volts["unit"] == "V"
    assert 180 < volts["value"] < 260


def test_an_unfinished_session_is_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Holds that nobody released are something found wrong."""
    path = tmp_path / "visit.toml"
    path.write_bytes(cut_after(session_bytes()[1], 20))
    code, found = checked(path, capsys)
    assert (code, found["chain"], found["signed"], found["outcome"]) == (1, "whole", False, None)


def test_one_changed_byte_is_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A reading made prettier breaks the chain; what stands before it is still judged."""
    path = session_file(tmp_path)
    data = bytearray(path.read_bytes())
    place = data.index(b'field = "electrical.line.l1_l2"')
    digit = next(i for i in range(data.index(b"value = ", place) + 8, len(data)) if chr(data[i]).isdigit())
    data[digit] = ord("1") if data[digit] != ord("1") else ord("2")
    path.write_bytes(data)
    code, found = checked(path, capsys)
    assert (code, found["chain"], found["signed"]) == (1, "broken", False)
    assert found["findings"]


def test_a_torn_tail_is_1_and_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last event lost its end: the rest is judged, the file is not touched."""
    path = session_file(tmp_path)
    torn = path.read_bytes()[:-30]
    path.write_bytes(torn)
    code, found = checked(path, capsys)
    assert (code, found["chain"], found["signed"]) == (1, "torn", False)
    assert found["findings"]
    assert path.read_bytes() == torn
    assert list(tmp_path.iterdir()) == [path]


def test_stored_verdicts_are_not_believed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Verdicts turned round and linked anew change no finding: they are computed, not read."""
    _, data = session_bytes()
    original, forged = tmp_path / "original.toml", tmp_path / "forged.toml"
    original.write_bytes(data)
    turned = [re.sub(rb" (not measured|pass)\"", b' fail"', part) for part in blocks(data)]
    turned = [part if b"[session]" not in part else blocks(data)[0] for part in turned]
    assert turned != blocks(data)
    forged.write_bytes(relinked(turned))
    assert checked(forged, capsys) == checked(original, capsys)


def test_the_page_stands_by_pane_worst_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As text: panes in order, and in each what is open before what is not."""
    path = tmp_path / "visit.toml"
    path.write_bytes(cut_after(session_bytes()[1], 60))
    assert main(["check", str(path)]) == 1
    page = capsys.readouterr().out
    titles = [
        line for line in page.splitlines() if line in ("Unit identity", "Electrical checks", "Sign-off")
    ]
    assert titles == ["Unit identity", "Electrical checks", "Sign-off"]
    electrical = page.partition("Electrical checks\n")[2].partition("\n\n")[0]
    verdicts = re.findall(r"^  ([a-z]+(?: [a-z]+)?)", electrical, re.MULTILINE)
    assert verdicts.index("not measured") < verdicts.index("pass")
    assert max(map(len, page.splitlines())) <= 100


def test_the_page_says_whose_visit_it_was_and_has_a_place_to_sign(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Job, people, instruments with their dates and waivers, before the findings; then a signature."""
    path = session_file(tmp_path)
    assert main(["check", str(path)]) == 0
    head, _, rest = capsys.readouterr().out.partition("\n\n")
    for word in (
        "Chain         whole",
        "Signed        commissioned by",
        "Site",
        "Unit",
        "Worked by",
        "Rules",
    ):
        assert word in head
    assert "calibrated until 20" in head
    assert "Waived        nothing" in head
    assert "Open          no hold, no correct" in head
    assert rest.rstrip().splitlines()[-1].split()[0] == "name"
    assert "Margin" in rest
    assert "w.c.." not in rest


def test_a_waiver_stands_on_the_page_with_its_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who let what pass, and why; what is open is named at the head and says what to do."""
    path = tmp_path / "visit.toml"
    path.write_bytes(cut_after(session_bytes()[1], 25))
    main(["enter", str(path), "--by", "Ida", "identity.model=Other", "waive:ID-1/unit=an older plate"])
    capsys.readouterr()
    assert main(["check", str(path)]) == 1
    page = capsys.readouterr().out
    assert "Waived        ID-1 unit by Ida: an older plate" in page
    assert "  waived           correct ID-1 unit" in page
    assert re.search(r"^Open          .*EL-", page, re.MULTILINE)
    assert "Do: " in page


def test_explain_tells_one_check_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    """From the catalogue's own words, in any case of letters; as JSON with the same keys for each."""
    for rule in catalogue():
        assert main(["check", "--explain", rule.id.lower()]) == 0
        page = capsys.readouterr().out
        words = " ".join(page.split())
        for said in (
            rule.id,
            rule.title,
            rule.rule,
            rule.source,
            rule.why,
            rule.measure,
            rule.causes,
            rule.do,
        ):
            assert " ".join(said.split()) in words
        for act in rule.guards_of("unit"):
            assert act in words
        assert main(["check", "--explain", rule.id, "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["rule"] == rule.rule


def test_explain_alone_lists_every_check(capsys: pytest.CaptureFixture[str]) -> None:
    """A line each, under their panes."""
    assert main(["check", "--explain"]) == 0
    page = capsys.readouterr().out
    for rule in catalogue():
        assert re.search(rf"^  {rule.id} +{rule.severity} +{re.escape(rule.title)}$", page, re.MULTILINE)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--explain", "EL-155"], "expected EL-15"),
        ([], "session FILE, or --explain"),
        (["visit.toml", "--explain", "EL-2"], "session FILE, or --explain"),
    ],
)
def test_what_check_cannot_take_is_refused(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, one line, nothing on standard output."""
    assert main(["check", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert err.count("\n") == 1


def test_figures_are_shown_in_the_units_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """IP unless SI is asked for; the printed ± says what it is."""
    path = session_file(tmp_path)
    main(["check", str(path)])
    ip = capsys.readouterr().out
    main(["check", str(path), "--units", "si"])
    si = capsys.readouterr().out
    assert " in. w.c." in ip
    assert " cfm" in ip
    assert " Pa" in si
    assert " L/s" in si
    assert "U, k = 2" in ip


def test_hostile_words_are_shown_harmless(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A signer's name full of escapes and turned-round text reaches the terminal as plain characters."""
    parts = blocks(session_bytes()[1])
    parts[-1] = re.sub(rb'by = "[^"]*"', b'by = "Eve\\\\u001B[2J\\\\u202E"', parts[-1])
    path = tmp_path / "visit.toml"
    path.write_bytes(relinked(parts))
    main(["check", str(path)])
    page = capsys.readouterr().out
    assert "Eve" in page
    assert "\x1b" not in page
    assert "\u202e" not in page


def test_a_clock_that_went_back_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By the numbers of the entries that are dated before the one before them; a steady clock by nothing."""
    path = session_file(tmp_path)
    main(["check", str(path)])
    assert "Clock" not in capsys.readouterr().out
    parts = blocks(path.read_bytes())
    parts[7] = re.sub(rb'(\nat = ")\d{4}', rb"\g<1>2019", parts[7])
    data = relinked(parts)
    path.write_bytes(data)
    capsys.readouterr()
    main(["check", str(path)])
    assert "events 7\n" in capsys.readouterr().out


def test_one_event_that_makes_no_sense_takes_no_other_with_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is named wherever the file is read, all else is told, and nobody is sent on by it."""
    forged = tmp_path / "forged.toml"
    forged.write_bytes(session(senseless))
    named = {"n": 68, "why": "'high' V is no voltage for electrical.line.l1_l2"}
    code, found = checked(forged, capsys)
    assert (code, found["chain"], found["outcome"]) == (1, "whole", "commissioned")
    assert found["senseless"] == [named]
    verdicts = {f["id"]: f["verdict"] for f in found["findings"]}  # type: ignore[attr-defined]
    assert (verdicts["EL-2"], verdicts["ID-1"]) == ("not measured", "pass")
    said = f"Event 68 cannot be what this program wrote: {named['why']}."
    for command in (["check", str(forged)], ["replay", str(forged)]):
        assert main(command) == 1
        assert said in " ".join(capsys.readouterr().out.split())
    for command in (["next", str(forged)], ["plan", str(forged)], ["enter", str(forged), "note=x"]):
        assert main(command) == 2
        assert said[7:] in capsys.readouterr().err
    fine = tmp_path / "fine.toml"
    fine.write_bytes(session())
    assert "senseless" not in checked(fine, capsys)[1]
