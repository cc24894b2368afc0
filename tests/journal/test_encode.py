"""Events and headers become exactly the bytes that the format says."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from collections.abc import Callable
from enum import StrEnum
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from asleft.journal import Unwritable, classify, event_bytes, header_bytes

ZERO = "0" * 64
EVENT: dict[str, Any] = {"n": 1, "at": "2031-05-04T09:30:00Z", "by": "Ana", "kind": "powered", "state": "on"}
HEADER: dict[str, Any] = {
    "id": "s",
    "mode": "job",
    "app": "a",
    "rules": "1",
    "opened_by": "Ana",
    "follows": None,
    "equipment_text": "",
}


def lines_of(event: dict[str, Any]) -> list[str]:
    return event_bytes(ZERO, event)[0].decode().splitlines()


def test_an_event_is_a_blank_line_a_title_and_one_key_a_line_with_the_link_last() -> None:
    data, link = event_bytes(ZERO, EVENT)
    assert data.decode() == (
        '\n[[event]]\nn = 1\nat = "2031-05-04T09:30:00Z"\nby = "Ana"\nkind = "powered"\nstate = "on"\n'
        f'link = "{link}"\n'
    )


def test_a_link_is_taken_over_the_previous_link_and_every_byte_up_to_its_own_line() -> None:
    data, link = event_bytes(ZERO, EVENT)
    content = data[: data.index(b"link = ")]
    assert link == sha256(ZERO.encode() + content).hexdigest()


def test_the_header_has_no_previous_link(header: bytes) -> None:
    content = header[: header.rindex(b"link = ")]
    assert classify(header).link == sha256(content).hexdigest()


def test_keys_are_written_in_order_however_they_are_given() -> None:
    backwards = dict(reversed(EVENT.items()))
    assert event_bytes(ZERO, backwards) == event_bytes(ZERO, EVENT)


def test_arrays_stand_on_one_line_in_their_place() -> None:
    entered = {
        **EVENT,
        "kind": "entered",
        "field": "f",
        "typed": "t",
        "value": -0.5,
        "readings": [1.0, 2, 1e22],
        "verdicts": ["a, b", 'c"'],
    }
    del entered["state"]
    lines = lines_of(entered)
    assert lines[6:-1] == [
        'field = "f"',
        'typed = "t"',
        "value = -0.5",
        "readings = [1.0, 2, 1e+22]",
        'verdicts = ["a, b", "c\\""]',
    ]


def test_an_empty_array_is_written_as_one() -> None:
    assert "verdicts = []" in lines_of({**EVENT, "verdicts": []})


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("\x00\x08\t\n\x0c\r\x1b\x1f", '"\\u0000\\b\\t\\n\\f\\r\\u001b\\u001f"'),
        ("\x7f\x80\x85\x9b\x9f", '"\\u007f\\u0080\\u0085\\u009b\\u009f"'),
        ("\u061c\u200e\u200f\u202a\u202e\u2066\u2069", '"\\u061c\\u200e\\u200f\\u202a\\u202e\\u2066\\u2069"'),
        ("\u2028\u2029\ufeff", '"\\u2028\\u2029\\ufeff"'),
        ("\\\u202e\\u202e", '"\\\\\\u202e\\\\u202e"'),
        ("ü 漢 🔥 👩\u200d🔧 [/bold]", '"ü 漢 🔥 👩\u200d🔧 [/bold]"'),
    ],
)
def test_what_could_act_on_a_terminal_is_escaped_and_the_rest_is_not(text: str, written: str) -> None:
    event = {**EVENT, "by": text}
    assert f"by = {written}" in event_bytes(ZERO, event)[0].decode().split("\n")
    assert tomllib.loads(event_bytes(ZERO, event)[0].decode())["event"][0]["by"] == text


def test_no_string_can_begin_a_line() -> None:
    data = event_bytes(ZERO, {**EVENT, "by": f'\nlink = "{ZERO}"\n\n[[event]]\n'})[0]
    assert data.count(b"\nlink = ") == 1
    assert data.count(b"\n[[event]]") == 1


class State(StrEnum):
    ON = "on"


def test_words_of_an_enumeration_and_tuples_are_written_as_what_they_mean() -> None:
    assert event_bytes(ZERO, {**EVENT, "state": State.ON, "verdicts": ("a",)}) == event_bytes(
        ZERO, {**EVENT, "verdicts": ["a"]}
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "guessed"}, "no kind of event"),
        ({"kind": 3}, "no kind of event"),
        ({"state": "sideways"}, '"on" or "off"'),
        ({"state": None}, "'state'"),
        ({"colour": "red"}, "'colour' does not belong"),
        ({"link": ZERO}, "'link' does not belong"),
        ({"n": True}, "'n'"),
        ({"n": -1}, "'n'"),
        ({"n": 2**63}, "'n'"),
        ({"at": "2031-05-04 09:30:00Z"}, "'at'"),
        ({"at": "2031-05-04T09:30:00+00:00"}, "'at'"),
        ({"at": "2031-02-30T09:30:00Z"}, "'at'"),
        ({"at": "2031-05-04T09:30:00"}, "'at'"),
        ({"by": "\ud800"}, "U+D800"),
        ({"verdicts": "one"}, "'verdicts'"),
        ({"verdicts": [1]}, "'verdicts'"),
    ],
)
def test_an_event_the_file_cannot_hold_is_refused_by_name(change: dict[str, Any], said: str) -> None:
    with pytest.raises(Unwritable) as refused:
        event_bytes(ZERO, {**EVENT, **change})
    assert said in str(refused.value)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**63, None, [], {}, b"x"])
def test_a_value_that_toml_has_no_scalar_for_is_refused(value: object) -> None:
    entered = {**EVENT, "kind": "entered", "field": "f", "typed": "t", "value": value}
    del entered["state"]
    with pytest.raises(Unwritable, match="'value'"):
        event_bytes(ZERO, entered)


def test_a_missing_key_is_named() -> None:
    with pytest.raises(Unwritable, match="'state' is missing"):
        event_bytes(ZERO, {name: value for name, value in EVENT.items() if name != "state"})


@pytest.mark.parametrize("link", ["", "0" * 63, "A" * 64, "0" * 63 + "\n"])
def test_a_previous_link_that_is_none_is_refused(link: str) -> None:
    with pytest.raises(Unwritable, match="no link"):
        event_bytes(link, EVENT)


@pytest.mark.parametrize("change", [{"id": 3}, {"opened_by": "\udfff"}, {"equipment_text": "x\ud800"}])
def test_a_header_the_file_cannot_hold_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(Unwritable):
        header_bytes(**{**HEADER, **change})


@pytest.mark.parametrize(
    "text", ["", "\n", "a", "a\n", "a\r\nb\r", "\ufeffa\n\n", "]\n[chain]\n", "🔥\u2028"]
)
def test_the_equipment_file_is_kept_to_the_byte(text: str) -> None:
    data = header_bytes(**{**HEADER, "equipment_text": text})
    assert classify(data).equipment_text == text
    table = tomllib.loads(data.decode())["equipment"]
    assert "\n".join(table["lines"]) == text
    assert table["sha256"] == sha256(text.encode()).hexdigest()


def test_equipment_lines_stand_one_a_line_for_people_to_read(header: bytes) -> None:
    assert '\n    "[unit]",\n' in header.decode()


def test_follows_is_written_only_if_there_is_one(header: bytes) -> None:
    assert b"follows" in header
    assert b"follows" not in header_bytes(**HEADER)


def test_a_script_with_no_code_of_ours_verifies_and_reads_a_session(
    session_file: Path, events: tuple[dict[str, Any], ...]
) -> None:
    script = Path(__file__).with_name("plain_reader.py")
    done = subprocess.run([sys.executable, script, session_file], capture_output=True, text=True, check=True)
    read = json.loads(done.stdout)["event"]
    assert [{k: v for k, v in event.items() if k != "link"} for event in read] == list(events)


def test_that_script_finds_a_changed_digit(session_file: Path) -> None:
    script = Path(__file__).with_name("plain_reader.py")
    session_file.write_bytes(session_file.read_bytes().replace(b"238.2", b"239.2"))
    done = subprocess.run([sys.executable, script, session_file], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "link 1 does not hold" in done.stderr


def test_the_file_is_plain_utf8_with_line_feeds(session: bytes, written: Callable[..., bytes]) -> None:
    assert b"\r" not in session
    assert not session.startswith(b"\xef\xbb\xbf")
    assert session.endswith(b'"\n')
    session.decode("utf-8")
