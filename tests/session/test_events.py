"""Every kind of event read from its keys and written as them again, byte for byte what the file had."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from asleft.journal import classify
from asleft.session.events import Event, read_all
from asleft.session.kinds import KINDS
from asleft.session.payloads import Payload, Senseless
from asleft.session.values import Amount, Count, Picked, Size, Value, Words, YesNo, number_of, written_value
from played import session_bytes
from support import ROOT

LIVE = "electrical.line.l1_l2"
EVERY: list[dict[str, Any]] = [
    {"kind": "entered", "field": "identity.site", "typed": "Mill", "value": "Mill"},
    {"kind": "entered", "field": "identity.orientation", "typed": "up", "value": "upflow"},
    {"kind": "entered", "field": "heat.path.normal", "typed": "n", "value": False},
    {"kind": "entered", "field": "electrical.circuit.1.conductors", "typed": "3", "value": 3},
    {"kind": "entered", "field": "electrical.circuit.1.conductor", "typed": "6", "value": "6 AWG"},
    {
        "kind": "entered",
        "field": LIVE,
        "typed": "238; 240 V ± 0",
        "value": 239.0,
        "unit": "V",
        "readings": [238.0, 240.0],
        "plus_minus": 0.0,
        "instrument": "meter-1",
        "read_at": "2031-05-04T08:50:00Z",
    },
    {
        "kind": "used",
        "field": "identity.instrument.meter",
        "instrument": "m",
        "name": "M",
        "accuracy": ["voltage 1 %"],
        "calibrated_until": "2033-01-31",
    },
    {"kind": "used", "field": "identity.instrument.clamp", "instrument": "c", "name": "C", "accuracy": []},
    {"kind": "chose", "topic": "blower", "option": "mild"},
    {"kind": "found", "setting": "s", "address": "a", "shown": "1"},
    {"kind": "wrote", "setting": "s", "address": "a", "shown": "2", "code": "7 7"},
    {"kind": "read_back", "setting": "s", "address": "a", "shown": "2"},
    {"kind": "powered", "state": "off"},
    {"kind": "acknowledged", "id": "EL-1"},
    {"kind": "waived", "id": "TD-2", "subject": "unit", "why": "told"},
    {"kind": "noted", "text": "a remark"},
    {"kind": "noted", "text": "tightened", "mends": "EL-14 unit", "affects": [LIVE, "choose:blower"]},
    {
        "kind": "noted",
        "text": "tightened",
        "mends": "EL-14 unit",
        "affects": [LIVE, "choose:blower"],
        "part": "circuit.1",
    },
    {"kind": "noted", "text": "no ladder", "refused": "blower.traverse"},
    {"kind": "noted", "text": "jammed", "refused": "power"},
    {"kind": "noted", "text": "no key", "refused": "SQ-3 setting.s@a"},
    {"kind": "noted", "text": "reached in", "broke": "EL-1"},
    {"kind": "noted", "text": "a lug", "reports": "loose-lug@1.l2", "evidence": [1, 2]},
    {"kind": "noted", "text": "a fan", "reports": "capacitor-weak", "evidence": []},
    {"kind": "noted", "text": "look low", "hint": 2},
    {"kind": "retracted", "of": 3, "why": "typo"},
    {"kind": "resumed"},
    {"kind": "signed", "outcome": "not commissioned"},
    {"kind": "sealed", "of": 4, "signature": ["a", "b"]},
    {"kind": "reviewed", "outcome": "sent back", "why": "no serial"},
    {"kind": "drilled", "hash": "0" * 64, "level": 0},
    {"kind": "drilled", "hash": "0" * 64},
    {"kind": "revealed", "sheet": ["a", ""], "salt": "s"},
]


def _read(keys: dict[str, Any]) -> Event:
    return Event.read({"n": 5, "at": "2031-05-04T09:00:00Z", "by": "Ada", **keys})


@pytest.mark.parametrize("keys", EVERY, ids=lambda keys: f"{keys['kind']} {list(keys)[-1]}")
def test_what_is_read_is_written_again(keys: dict[str, Any]) -> None:
    """The same keys with the same values, and of the class that is meant."""
    event = _read(keys)
    assert not isinstance(event.what, Senseless)
    assert event.kind == keys["kind"]
    assert event.written() == {"n": 5, "at": "2031-05-04T09:00:00Z", "by": "Ada", **keys}


def test_no_kind_and_no_class_is_left_out() -> None:
    """The rows above have every kind of event of the format, and every class that one can be."""
    assert {keys["kind"] for keys in EVERY} == set(KINDS)
    assert {type(_read(keys).what) for keys in EVERY} | {Senseless} == set(get_args(Payload))


@pytest.mark.parametrize("path", sorted((ROOT / "sessions").glob("*.toml")), ids=lambda path: path.stem)
def test_a_sample_session_is_read_and_written_alike(path: Any) -> None:
    """Every event of it, in order."""
    _same(classify(path.read_bytes()).events)


def test_a_played_session_is_read_and_written_alike() -> None:
    """As it comes from a visit."""
    _same(classify(session_bytes()[1]).events)


def _same(events: Any) -> None:
    for event, keys in zip(read_all(events), events, strict=True):
        left_out = ("link", "verdicts")
        assert event.written() == {k: v for k, v in keys.items() if k not in left_out}
        assert event.verdicts == tuple(keys.get("verdicts", ()))


@pytest.mark.parametrize(
    ("keys", "why"),
    [
        (
            {"kind": "entered", "field": LIVE, "typed": "1", "value": True, "unit": "V"},
            "True V is no voltage",
        ),
        ({"kind": "entered", "field": LIVE, "typed": "1", "value": 1e9, "unit": "V"}, "no voltage"),
        (
            {"kind": "entered", "field": LIVE, "typed": "1", "value": 1.0, "unit": "kV"},
            "1.0 kV is no voltage",
        ),
        ({"kind": "entered", "field": LIVE, "typed": " ", "value": 1.0, "unit": "V"}, "nothing was typed"),
        ({"kind": "entered", "field": "no.field", "typed": "1", "value": 1.0}, "'no.field' is no field"),
        (
            {"kind": "entered", "field": LIVE, "typed": "1", "value": 1.0, "unit": "V", "plus_minus": "lots"},
            "plus_minus is 'lots' and no number",
        ),
        (
            {"kind": "entered", "field": "electrical.circuit.1.conductors", "typed": "3", "value": 2.5},
            "is no count",
        ),
        ({"kind": "powered", "state": "half"}, "'half' is no state of power"),
        ({"kind": "signed", "outcome": "fine"}, "'fine' is no outcome"),
        ({"kind": "reviewed", "outcome": "liked", "why": "x"}, "'liked' is no outcome of a review"),
        ({"kind": "noted", "text": "x", "mends": "EL-1 unit", "hint": 1}, "mends and hint"),
        (
            {"kind": "noted", "text": "x", "mends": "EL-1 unit", "affects": ["paint:x"]},
            "'paint' is not an act",
        ),
        (
            {"kind": "noted", "text": "x", "mends": "EL-1 unit", "affects": [], "part": "roof"},
            "'roof' is no part of a unit",
        ),
        ({"kind": "noted", "text": "x", "reports": "loose-lug", "evidence": [1.5]}, "numbers of events"),
    ],
)
def test_a_value_that_its_key_cannot_hold_makes_an_event_senseless(keys: dict[str, Any], why: str) -> None:
    """It is told what is wrong, and written as it stands."""
    event = _read(keys)
    assert isinstance(event.what, Senseless)
    assert why in event.what.why
    assert event.written() == {"n": 5, "at": "2031-05-04T09:00:00Z", "by": "Ada", **keys}


@pytest.mark.parametrize(
    ("value", "shown", "number", "stored"),
    [
        (Words("Mill"), "Mill", None, ("Mill", "")),
        (Picked("upflow"), "upflow", None, ("upflow", "")),
        (YesNo.YES, "yes", None, (True, "")),
        (YesNo.NO, "no", None, (False, "")),
        (Count(3), "3", 3.0, (3, "")),
        (Size("1/0"), "1/0", None, ("1/0", "")),
        (Amount(239.5, "V"), "239.5 V", 239.5, (239.5, "V")),
    ],
)
def test_each_value_as_it_is_shown_reckoned_with_and_stored(
    value: Value, shown: str, number: float | None, stored: tuple[object, str]
) -> None:
    """Words have no number, a count has no unit, yes is true."""
    assert (str(value), number_of(value), written_value(value)) == (shown, number, stored)
