"""`check`: every finding recomputed from the file alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from asleft.cli import main
from played import blocks, cut_after, relinked, session_bytes, session_file

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
    assert max(map(len, page.splitlines())) < 200


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
    assert "(U, k = 2)" in ip


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
