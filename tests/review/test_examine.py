"""What an audit marks in a session: each rule where it is met, and none where it is not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from asleft.review.examine import examined, timed
from asleft.review.row import Row, loaded
from asleft.review.rules import rules
from review.sessions import SAMPLES, Event, session, where

DAY = timedelta(days=1)


def marks(data: bytes) -> dict[str, str]:
    """The marks of a file by their rule."""
    return {m.rule: m.text for m in examined(data, "x.toml").marks}


def test_every_rule_says_why_and_on_what_basis() -> None:
    """With its weight from 0 to 100; the list is worst first."""
    for rule in rules().values():
        assert rule.says
        assert rule.why.endswith(".")
        assert rule.basis
        assert 0.0 <= rule.weight <= 100.0
    assert [r.weight for r in rules().values()] == sorted((r.weight for r in rules().values()), reverse=True)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem[:20])
def test_a_sound_visit_has_no_mark(path: Path) -> None:
    """The samples are demonstrations, and nothing else is said of them; as jobs nothing at all."""
    row = examined(path.read_bytes(), path.name)
    assert [m.rule for m in row.marks] == ["demo"]
    assert (row.chain, row.outcome, row.weight) == ("whole", "commissioned", 0.0)
    assert examined(session(sample=SAMPLES.index(path)), "x").marks == ()


def test_a_row_tells_who_where_and_when() -> None:
    """And comes back from its line of text as it was."""
    row = examined(session(), "x.toml")
    assert row.site == "Orchard Foot 2"
    assert row.unit == "tarnfield-lowmoor-36"
    assert row.technician == "Mina Dunmore"
    assert row.month == "2026-06"
    assert row.wrong
    assert loaded(row.dumped()) == row


def _last_read_back(events: list[Event]) -> int:
    wrote = {e["setting"] for e in events if e["kind"] == "wrote"}
    return max(n for n, e in enumerate(events) if e["kind"] == "read_back" and e["setting"] in wrote)


def without_read_back(events: list[Event]) -> Sequence[Event]:
    """The last read-back of what was written left out."""
    at = _last_read_back(events)
    return [e for n, e in enumerate(events) if n != at]


def fast(events: list[Event]) -> Sequence[Event]:
    """All in one second."""
    return [{**e, "at": "2026-06-01T12:00:00Z"} for e in events]


def back(events: list[Event]) -> Sequence[Event]:
    """The clock set back in the middle."""
    return [*events[:50], *({**e, "at": e["at"].replace("2026", "2025")} for e in events[50:])]


def with_note(**data: Any) -> Any:
    """One more remark before the signature."""
    return lambda events: [
        *events[:-1],
        {"at": events[-1]["at"], "by": "A", "kind": "noted", "text": "x", **data},
        events[-1],
    ]


def differs(events: list[Event]) -> Sequence[Event]:
    """The last read-back of what was written shows something else."""
    at = _last_read_back(events)
    return [*events[:at], {**events[at], "shown": "nothing like it"}, *events[at + 1 :]]


def answered_so(events: list[Event]) -> Sequence[Event]:
    """A write that the control answered with an error text."""
    at = where(events, kind="wrote")
    return [*events[:at], {**events[at], "shown": "Err 7"}, *events[at + 1 :]]


def lapsed(events: list[Event]) -> Sequence[Event]:
    """A meter whose calibration had run out."""
    at = where(events, kind="used", field="identity.instrument.meter")
    return [*events[:at], {**events[at], "calibrated_until": "2026-05-31"}, *events[at + 1 :]]


def low_volts(events: list[Event]) -> Sequence[Event]:
    """A supply far too low, and signed as commissioned all the same."""
    at = where(events, kind="entered", field="electrical.line.l1_l2")
    return [*events[:at], {**events[at], "typed": "180 V", "value": 180.0}, *events[at + 1 :]]


def senseless(events: list[Event]) -> Sequence[Event]:
    """A value that no entry could have given."""
    at = where(events, kind="entered", field="electrical.line.l1_l2")
    return [*events[:at], {**events[at], "value": "high"}, *events[at + 1 :]]


def waiver(events: list[Event]) -> Sequence[Event]:
    """Something waived."""
    data = {"kind": "waived", "id": "EL-20", "subject": "circuit.1", "why": "no tool at hand"}
    return [*events[:-1], {"at": events[-1]["at"], "by": "A", **data}, events[-1]]


def reviewed(outcome: str) -> Any:
    """A supervisor's word at the end."""
    data = {"kind": "reviewed", "outcome": outcome, "why": "see the volts"}
    return lambda events: [*events, {"at": events[-1]["at"], "by": "Chief", **data}]


def unhappy(events: list[Event]) -> Sequence[Event]:
    """Signed as not commissioned."""
    return [*events[:-1], {**events[-1], "outcome": "not commissioned"}]


@pytest.mark.parametrize(
    ("change", "rule", "words"),
    [
        (without_read_back, "not-read-back", "@"),
        (fast, "seconds-apart", "less than 3 s apart"),
        (back, "clock-back", "event 51"),
        (with_note(broke="EL-1"), "breach", "EL-1 broken in event 162"),
        (differs, "read-back-differs", "@"),
        (lapsed, "out-of-date", "2026-05-31"),
        (low_volts, "signed-open", "EL-2"),
        (senseless, "senseless", "cannot be"),
        (waiver, "waived", "no tool at hand"),
        (reviewed("sent back"), "sent-back", "see the volts"),
        (unhappy, "not-commissioned", "nothing is open"),
    ],
)
def test_each_rule_is_met_by_what_it_is_about(change: Any, rule: str, words: str) -> None:
    """And says it in words; nothing heavier is said of it."""
    found = marks(session(change))
    assert rule in found
    assert words in found[rule]
    heavier = {id for id in found if rules()[id].weight > rules()[rule].weight}
    known = {"signed-open", "senseless"} - {rule} | ({"clock-back"} if change is fast else set())
    assert heavier <= known | ({"failing-hold"} if change is low_volts else set())


def test_an_error_text_at_a_write_is_no_value_that_a_read_back_differs_from() -> None:
    """What was read back after it is what was meant."""
    assert "read-back-differs" not in marks(session(answered_so))


def test_what_makes_no_sense_is_named_and_all_else_is_told() -> None:
    """Several of them, each by its number; what came after them counts."""

    def change(events: list[Event]) -> Sequence[Event]:
        forged = list(senseless(events))
        at = where(forged, kind="chose")
        return [*forged[:at], {**forged[at], "option": "none such"}, *forged[at + 1 :]]

    row = examined(session(change), "x")
    named = sorted(m.text for m in row.marks if m.rule == "senseless")
    assert len(named) == 2
    assert "event 68 " in named[1]
    assert (row.outcome, row.site) == ("commissioned", "Orchard Foot 2")
    assert "EL-2" in row.open


def test_accepted_it_says_so_and_nothing_speaks_against_it() -> None:
    """A review keeps the signature."""
    row = examined(session(reviewed("accepted")), "x")
    assert row.review == "accepted"
    assert row.outcome == "commissioned"
    assert row.marks == ()


def test_time_is_judged_when_it_is_looked_at() -> None:
    """Unsigned for two days, or dated later than now; a result that is kept holds neither."""
    row = examined(session(lambda events: events[:-1]), "x")
    assert row.marks == ()
    ended = datetime.fromisoformat(row.ended)
    assert [m.rule for m in timed(row, ended + 1.9 * DAY).marks] == []
    assert [m.rule for m in timed(row, ended + 2 * DAY).marks] == ["unsigned"]
    assert [m.rule for m in timed(row, ended - DAY).marks] == ["future"]
    signed = examined(session(), "x")
    assert timed(signed, ended + 99 * DAY).marks == ()


@pytest.mark.parametrize(
    ("data", "chain", "rule"),
    [
        (b"", "unreadable", "unreadable"),
        (b"\x00" * 4000, "unreadable", "unreadable"),
        (b'format = 1\nx = "y"\n', "unreadable", "unreadable"),
        (SAMPLES[0].read_bytes()[:-30], "torn", "torn"),
        (SAMPLES[0].read_bytes().replace(b"238", b"239", 1), "broken", "broken"),
        (SAMPLES[0].read_bytes() + b"junk\n", "broken", "broken"),
        (b"\xef\xbb\xbf" + SAMPLES[0].read_bytes(), "unreadable", "unreadable"),
    ],
)
def test_what_is_damaged_is_told_by_its_name(data: bytes, chain: str, rule: str) -> None:
    """Never an error; the prefix that is verified is judged."""
    row: Row = examined(data, "x.toml")
    assert row.chain == chain
    assert rule in {m.rule for m in row.marks}
    assert bool(row.unit) == (chain != "unreadable")


def test_now_is_not_asked_of_the_file() -> None:
    """An empty row has no time."""
    row = examined(b"", "x")
    assert timed(row, datetime.now(UTC)) == row
