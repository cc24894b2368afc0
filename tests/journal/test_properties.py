"""What must hold for any events at all."""

from __future__ import annotations

import tomllib
from typing import Any

import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.journal import Chain, classify, event_bytes, header_bytes
from asleft.journal.encode import scalar
from asleft.journal.escapes import RAW
from asleft.session.kinds import KINDS, Form, Key

NUMBERS = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**63), 2**63 - 1)
FORMS: dict[Form, st.SearchStrategy[Any]] = {
    Form.TEXT: st.text(),
    Form.UTC: st.datetimes().map(lambda at: f"{at.replace(microsecond=0).isoformat()}Z"),
    Form.COUNT: st.integers(0, 2**63 - 1),
    Form.SCALAR: st.text() | NUMBERS | st.booleans(),
    Form.TEXTS: st.lists(st.text(), max_size=4),
    Form.NUMBERS: st.lists(NUMBERS, max_size=4),
}


def value_of(key: Key) -> st.SearchStrategy[Any]:
    return st.sampled_from(key.words) if key.words else FORMS[key.form]


@st.composite
def events(draw: st.DrawFn) -> dict[str, Any]:
    kind = draw(st.sampled_from(list(KINDS.values())))
    event = {"n": 0, "at": draw(FORMS[Form.UTC]), "by": draw(st.text()), "kind": kind.name}
    for key in (*kind.keys, Key("verdicts", Form.TEXTS, optional=True)):
        if not key.optional or draw(st.booleans()):
            event[key.name] = draw(value_of(key))
    return event


@st.composite
def sessions(draw: st.DrawFn, least: int = 0) -> tuple[bytes, str, list[dict[str, Any]]]:
    equipment = draw(st.text())
    names = {name: draw(st.text()) for name in ("id", "mode", "app", "rules", "opened_by")}
    data = header_bytes(**names, follows=draw(st.none() | st.text()), equipment_text=equipment)
    link = classify(data).link
    listed = draw(st.lists(events(), min_size=least, max_size=4))
    for number, event in enumerate(listed, 1):
        event["n"] = number
        block, link = event_bytes(link, event)
        data += block
    return data, equipment, listed


@given(st.text(st.characters(max_codepoint=0x17F)) | NUMBERS | st.booleans())
def test_any_scalar_is_what_tomli_w_writes_but_for_escapes(value: str | float | bool) -> None:
    ours, theirs = scalar(value), tomli_w.dumps({"k": value}).removeprefix("k = ").removesuffix("\n")
    assert tomllib.loads(f"k = {ours}") == tomllib.loads(f"k = {theirs}") == {"k": value}
    if not isinstance(value, str) or RAW.search(value) is None:
        assert ours == theirs


@given(sessions())
def test_any_session_is_whole_and_reads_back_the_same(case: tuple[bytes, str, list[dict[str, Any]]]) -> None:
    data, equipment, listed = case
    contents = classify(data)
    assert contents.chain is Chain.WHOLE, contents.trouble
    assert contents.equipment_text == equipment
    assert [{k: v for k, v in e.items() if k != "link"} for e in contents.events] == listed
    assert [[*map(type, e.values())][:-1] for e in contents.events] == [
        [*map(type, e.values())] for e in listed
    ]
    assert tomllib.loads(data.decode())["equipment"]["lines"] == equipment.split("\n")


@given(sessions())
def test_any_session_holds_one_key_a_line_and_nothing_a_terminal_obeys(
    case: tuple[bytes, str, list[dict[str, Any]]],
) -> None:
    text = case[0].decode()
    assert not any(
        c != "\n" and (c < " " or "\x7f" <= c <= "\x9f" or "\u202a" <= c <= "\u202e") for c in text
    )
    assert text.count("\nlink = ") == len(case[2]) + 1


@settings(max_examples=40)
@given(sessions(least=1), st.data())
def test_any_truncation_is_whole_or_torn_and_keeps_every_event_before_it(
    case: tuple[bytes, str, list[dict[str, Any]]], data: st.DataObject
) -> None:
    session = case[0]
    for size in data.draw(st.lists(st.integers(0, len(session)), min_size=20, max_size=20)):
        contents = classify(session[:size])
        assert contents.chain is not Chain.BROKEN, (session[:size], contents.trouble)
        assert [e["n"] for e in contents.events] == list(range(1, len(contents.events) + 1))


@settings(max_examples=40)
@given(sessions(least=1), st.data())
def test_any_change_of_a_byte_is_found(
    case: tuple[bytes, str, list[dict[str, Any]]], data: st.DataObject
) -> None:
    session = case[0]
    place = data.draw(st.integers(0, len(session) - 1))
    byte = data.draw(st.integers(0, 255).filter(lambda b: b != session[place]))
    changed = session[:place] + bytes([byte]) + session[place + 1 :]
    assert classify(changed).chain is Chain.BROKEN
