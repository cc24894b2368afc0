"""The virtual unit: the protocol's shapes, the same answers for the same seed, and refusals for all else."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.drill.virtual import VirtualUnit
from asleft.installation.behave import behave
from asleft.installation.faults import FAULTS, Fault, with_faults
from asleft.installation.memory import as_found, cycled, store
from asleft.quantity import parse
from asleft.session.fields import applicable
from played import place_of
from support import demo_unit

SEED = 4
LINE = {"do": "read", "field": "electrical.line.l1_l2", "kind": "voltage", "instrument": "meter-corwen"}
STATIC = {
    "do": "read",
    "field": "blower.static.supply",
    "kind": "static_pressure",
    "instrument": "manometer-pell",
}
CURRENT = {
    "do": "read",
    "field": "electrical.blower.current",
    "kind": "current",
    "instrument": "clamp-corwen",
}
INCH = 249.089


def unit(seed: int = SEED) -> VirtualUnit:
    """The healthy virtual unit of a seed, power on."""
    return VirtualUnit(demo_unit(), place_of(seed), seed)


def ask(virtual: VirtualUnit, **request: Any) -> dict[str, Any]:
    """One request, its answer made of JSON alone."""
    answer = virtual.answer(json.loads(json.dumps(request)))
    assert json.loads(json.dumps(answer)) == answer
    return answer


def fields() -> Mapping[str, Any]:
    """Every field of this site."""
    found = place_of(SEED)
    return applicable(demo_unit(), found.situation)


def in_state(virtual: VirtualUnit, state: str) -> None:
    """Power as a field of this state is read."""
    ask(virtual, do="power", state="off" if state in ("dead", "isolated") else "on")


# ---- shapes


@pytest.mark.parametrize("field", sorted(fields()))
def test_every_field_is_answered_as_a_person_would_type_it(field: str) -> None:
    """Typed with its unit, one of its choices, or yes or no; beside it the time that it is due, if any."""
    virtual, known = unit(), fields()[field]
    in_state(virtual, known.state)
    answer = ask(virtual, do="read", field=field, kind=known.kind, instrument="")
    if "refused" in answer:
        assert not known.state
        assert known.optional
        return
    due = known.state.removeprefix("after.")
    assert {k: v for k, v in answer.items() if k != "typed"} == (
        {"after_s": float(due)} if due.isdigit() else {}
    )
    typed = answer["typed"]
    if known.kind == "yes_no":
        assert typed in ("yes", "no")
    elif known.kind == "choice":
        assert typed in known.choices
    elif known.kind == "count":
        assert int(typed) >= 0
    elif known.kind not in ("text", "instrument", "conductor_size"):
        quantity = parse(typed, known.kind)
        assert any(c.isalpha() or c == "°" for c in quantity.typed)


def test_a_setting_is_seen_and_written_as_the_control_shows_it() -> None:
    """Looked at, written, looked at again: exactly what the control displays."""
    virtual = unit()
    place = {"setting": "air-letter", "address": "unit"}
    for value in ("a", "d"):
        assert ask(virtual, do="write", value=value, **place) == {"shown": value}
        assert ask(virtual, do="look", **place) == {"shown": value}


def test_a_coded_setting_is_keyed_and_queried() -> None:
    """LRRR holds heat back 16 minutes and shows notch 3; LLLL asks; it cannot be written otherwise."""
    virtual = unit()
    assert ask(virtual, do="code", code="LRRR", address="unit") == {"shown": "notch 3"}
    assert ask(virtual, do="code", code="LLLL", address="unit") == {"shown": "notch 3"}
    assert ask(virtual, do="look", setting="patience", address="unit") == {"shown": "notch 3"}
    assert virtual.settings["patience", "unit"] == "16"
    refused = ask(virtual, do="write", setting="patience", address="unit", value="28")
    assert set(refused) == {"refused"}
    assert virtual.settings["patience", "unit"] == "16"


def test_power_is_switched_and_done() -> None:
    """Off and on again."""
    virtual = unit()
    assert ask(virtual, do="power", state="off") == {"done": True}
    assert ask(virtual, do="power", state="on") == {"done": True}


@pytest.mark.parametrize(
    "request_",
    [
        {"do": "read", "field": "no.such.field"},
        {"do": "read"},
        {"do": "look", "setting": "air-letter", "address": "system"},
        {"do": "look", "setting": "none", "address": "unit"},
        {"do": "write", "setting": "air-letter", "address": "unit", "value": "z"},
        {"do": "write", "setting": "air-letter", "address": "elsewhere", "value": "a"},
        {"do": "code", "code": "RRRR", "address": "unit"},
        {"do": "code", "code": "LRRR", "address": "system"},
        {"do": "power", "state": "up"},
        {"do": "mend", "finding": "EL-2", "subject": "unit"},
        {"do": "resume", "reads": [], "settings": {}},
        {"do": "resume", "reads": {}, "settings": {"nothing@unit": "1"}},
        {"do": "resume", "reads": {"electrical.line.l1_l2": -1}, "settings": {}},
        {"do": "resume", "reads": {"electrical.line.l1_l2": True}, "settings": {}},
        {"do": "dance"},
        {},
    ],
    ids=str,
)
def test_what_it_cannot_answer_is_refused_with_a_reason_and_changes_nothing(
    request_: dict[str, Any],
) -> None:
    """One key, words in it, and every setting where it was."""
    virtual = unit()
    before = virtual.settings
    answer = ask(virtual, **request_)
    assert set(answer) == {"refused"}
    assert len(answer["refused"]) > 5
    assert virtual.settings == before
    assert ask(virtual, **LINE) == ask(unit(), **LINE)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=10), inner, max_size=3),
    max_leaves=8,
)
KNOWN = ("read", "look", "write", "code", "power", "mend", "resume", "commit", "reveal")
KEYS = ("field", "kind", "instrument", "setting", "address", "value", "code", "state", "reads", "settings")
WORDS = st.sampled_from(
    [
        "electrical.line.l1_l2",
        "blower.static.supply",
        "air-letter",
        "unit",
        "system",
        "patience",
        "a",
        "LRRR",
        "LLLL",
        "off",
        "on",
        "meter-corwen",
    ]
)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(
        st.fixed_dictionaries(
            {"do": st.sampled_from(KNOWN) | JSON}, optional=dict.fromkeys(KEYS, WORDS | JSON)
        )
        | st.dictionaries(st.text(max_size=10), JSON, max_size=4),
        max_size=6,
    )
)
def test_no_request_whatever_raises(requests: list[dict[str, Any]]) -> None:
    """Any JSON object is answered by one of the four shapes, and the unit still works after it."""
    virtual = UNIT_UNDER_FUZZ
    for request in requests:
        answer = virtual.answer(request)
        assert set(answer) in ({"typed"}, {"shown"}, {"done"}, {"refused"})
    virtual.answer({"do": "power", "state": "on"})
    assert set(virtual.answer(LINE)) == {"typed"}
    for setting, address in demo_unit().places():
        assert virtual.settings[setting.id, address] in setting.values


UNIT_UNDER_FUZZ = unit()


# ---- the same unit every time


def test_the_same_seed_gives_the_same_answers_and_another_seed_others() -> None:
    """Number for number."""
    once, again = ([ask(virtual, **LINE)["typed"] for _ in range(20)] for virtual in (unit(), unit()))
    assert once == again
    assert len(set(once)) > 1
    assert once != [ask(unit(SEED + 1), **LINE)["typed"] for _ in range(20)]


def test_what_else_was_read_between_changes_no_reading() -> None:
    """Noise comes from seed, field and how often it was read, not from the order of the work."""
    straight, wandering = unit(), unit()
    first = [ask(straight, **LINE) for _ in range(5)]
    second = []
    for _ in range(5):
        ask(wandering, **STATIC)
        second.append(ask(wandering, **LINE))
        ask(wandering, **CURRENT)
    assert first == second


def test_a_refused_reading_is_no_reading() -> None:
    """Asked with power off, the next answer is still the first."""
    virtual = unit()
    ask(virtual, do="power", state="off")
    assert "refused" in ask(virtual, **LINE)
    ask(virtual, do="power", state="on")
    assert ask(virtual, **LINE) == ask(unit(), **LINE)


def test_resumed_it_goes_on_as_if_it_had_never_stopped() -> None:
    """Reads, settings and power handed over; a coded setting as the control shows it."""
    old, new = unit(), unit()
    for request in (LINE, LINE, STATIC, CURRENT):
        ask(old, **request)
    ask(old, do="write", setting="trail", address="unit", value="120")
    ask(old, do="write", setting="air-letter", address="unit", value="d")
    shown = ask(old, do="code", code="LRRR", address="unit")["shown"]
    reads = {LINE["field"]: 2, STATIC["field"]: 1, CURRENT["field"]: 1}
    stored = {"trail@unit": "120", "air-letter@unit": "d", "patience@unit": shown}
    resumed = ask(new, do="resume", reads=reads, settings=stored, power="on", elapsed_s=900)
    assert resumed == {"done": True}
    assert new.settings == old.settings
    for request in (LINE, STATIC, CURRENT, LINE, STATIC):
        assert ask(old, **request) == ask(new, **request)


def test_resumed_with_a_value_it_never_shows_it_keeps_its_own() -> None:
    """Somebody misread the control; the visit goes on all the same."""
    virtual = unit()
    before = virtual.settings
    misread = {"air-letter@unit": "z", "patience@unit": "notch 9"}
    assert ask(virtual, do="resume", reads={}, settings=misread, power="on", elapsed_s=1) == {"done": True}
    assert virtual.settings == before


def test_resumed_with_power_off_it_is_off() -> None:
    """What is read live is refused until power is on."""
    virtual = unit()
    ask(virtual, do="resume", reads={}, settings={}, power="off", elapsed_s=0)
    assert "refused" in ask(virtual, **LINE)


# ---- physics and noise


@pytest.mark.parametrize(
    ("request_", "gain", "own", "unit_", "step"),
    [
        (LINE, 0.005, 0.2, "voltage", 0.1),
        (CURRENT, 0.005, 0.01, "current", 0.01),
        (STATIC, 0.01, 0.002 * INCH, "static_pressure", 0.001 * INCH),
    ],
    ids=["meter", "clamp", "manometer"],
)
def test_500_readings_stay_inside_the_instruments_limit(
    request_: dict[str, Any], gain: float, own: float, unit_: str, step: float
) -> None:
    """They scatter by the counts of the instrument, round what its gain makes of the truth."""
    virtual, found = unit(), place_of(SEED)
    state = fields()[request_["field"]].state
    truth = float(behave(found.installation, demo_unit(), found.settings, state)[request_["field"]])
    read = [parse(ask(virtual, **request_)["typed"], unit_).value for _ in range(500)]
    assert max(abs(value - truth) for value in read) <= gain * truth + own
    # 500 draws within six tenths of the counts: their mean lies within a tenth of them, rounding apart.
    assert abs(sum(read) / len(read) - truth) < 0.6 * gain * truth + 0.1 * own + 0.5 * step
    assert own < max(read) - min(read) + step <= 1.2 * own + 2 * step


def test_two_instruments_are_off_by_parts_of_their_own() -> None:
    """The mean of each is another, and both within the limit."""
    virtual = unit()
    means = []
    for meter in ("meter-corwen", "meter-unmarked"):
        read = [
            parse(ask(virtual, **{**LINE, "instrument": meter})["typed"], "voltage").value for _ in range(50)
        ]
        means.append(sum(read) / len(read))
    assert abs(means[0] - means[1]) > 0.1


def test_a_static_on_the_return_side_reads_below_the_room() -> None:
    """The sign is part of it; a magnitude never has one."""
    virtual = unit()
    assert ask(virtual, **{**STATIC, "field": "blower.static.return"})["typed"].startswith("-")
    idle = {**CURRENT, "field": "electrical.circuit.1.no_call.l1"}
    assert not any(ask(virtual, **idle)["typed"].startswith("-") for _ in range(50))


@pytest.mark.parametrize("instrument", ["", "meter-unmarked", "no-such-thing"])
def test_an_instrument_without_papers_still_reads(instrument: str) -> None:
    """Somewhere near the truth."""
    found = place_of(SEED)
    typed = ask(unit(), **{**LINE, "instrument": instrument})["typed"]
    assert parse(typed, "voltage").value == pytest.approx(found.installation.source_v, rel=0.02)


def test_isolated_readings_need_power_off_and_live_ones_power_on() -> None:
    """Neither is answered otherwise, and the reason says which."""
    virtual = unit()
    dead = {"do": "read", "field": "electrical.ground.resistance", "instrument": "meter-corwen"}
    assert "off" in ask(virtual, **dead)["refused"]
    ask(virtual, do="power", state="off")
    assert "typed" in ask(virtual, **dead)
    assert "on" in ask(virtual, **LINE)["refused"]


def test_a_tier_written_moves_more_air_at_once() -> None:
    """It needs no power cycle: statics rise from the weakest tier to the strongest."""
    virtual = unit()
    topic = demo_unit().role("blower-tier")
    assert topic is not None
    found = place_of(SEED).installation
    read = []
    for option in topic.options(found.orientation, found.kit):
        for setting, value in option.set.items():
            ask(virtual, do="write", setting=setting, address="unit", value=value)
        read.append(parse(ask(virtual, **STATIC)["typed"], "static_pressure").value)
    assert all(low < high for low, high in pairwise(read))


def heats(virtual: VirtualUnit) -> bool:
    """Whether heat comes when called."""
    answer = ask(virtual, do="read", field="heat.path.normal", instrument="")
    return bool(answer["typed"] == "yes")


def put(virtual: VirtualUnit, size: str, use: str) -> None:
    """Kit size and use written; the size acts after a power cycle."""
    ask(virtual, do="write", setting="bank-size", address="system", value=size)
    ask(virtual, do="write", setting="bank-use", address="system", value=use)


def cycle(virtual: VirtualUnit) -> None:
    """Power off and on."""
    ask(virtual, do="power", state="off")
    ask(virtual, do="power", state="on")


def test_a_setting_that_needs_a_power_cycle_is_stored_at_once_and_in_force_after_it() -> None:
    """It reads back right and does nothing; after off and on, heat comes."""
    virtual = unit()
    kit = place_of(SEED).installation.kit
    assert kit is not None
    size = {"ash": "ash", "beech": "beech", "cedar": "cedar", "elm": "elm"}[kit]
    put(virtual, "bare", "none")
    cycle(virtual)
    put(virtual, size, "both")
    assert ask(virtual, do="look", setting="bank-size", address="system") == {"shown": size}
    stale = ask(virtual, do="read", field="electrical.circuit.1.called.l1", instrument="clamp-corwen")
    cycle(virtual)
    assert heats(virtual)
    fresh = ask(virtual, do="read", field="electrical.circuit.1.called.l1", instrument="clamp-corwen")
    amps = [parse(a["typed"], "current").value for a in (stale, fresh)]
    assert amps[0] < 0.5 * amps[1], "the size of the kit acts only after the power cycle"


def test_a_setting_put_back_before_the_cycle_changes_nothing() -> None:
    """Written away and back again, no cycle is owed and none does harm."""
    virtual = unit()
    before = virtual.settings["bank-size", "system"]
    for value in ("cedar", "elm", before):
        ask(virtual, do="write", setting="bank-size", address="system", value=value)
    first = ask(virtual, **CURRENT)
    cycle(virtual)
    assert virtual.settings["bank-size", "system"] == before
    assert first == ask(unit(), **CURRENT)


def unit_with(*faults: Fault) -> VirtualUnit:
    """The virtual unit of the seed with these faults."""
    healthy = place_of(SEED)
    wrong = with_faults(healthy.installation, demo_unit(), faults)
    return VirtualUnit(demo_unit(), replace(healthy, installation=wrong), SEED)


def test_a_fault_moves_its_own_readings_and_no_others() -> None:
    """Each answer is one of seed, field and times read: a loaded filter leaves volts to the last digit."""
    virtual = unit_with(Fault("filter-loaded"))
    assert [ask(virtual, **LINE) for _ in range(3)] == [ask(u, **LINE) for u in [unit()] for _ in range(3)]
    back = {**STATIC, "field": "blower.static.return"}
    loaded, clean = (parse(ask(u, **back)["typed"], "static_pressure").value for u in (virtual, unit()))
    assert loaded < 1.3 * clean < 0


def test_a_control_that_stores_nothing_shows_what_it_had() -> None:
    """The write is taken, and the old value stands there to be read back."""
    healthy = place_of(SEED)
    place = FAULTS["code-not-stored"].places(healthy.installation, demo_unit())[0]
    setting, _, address = place.partition("@")
    known = demo_unit().setting_of(setting)
    assert known is not None
    before = healthy.settings[setting, address]
    code = next(c for c in demo_unit().code if c.setting == setting and c.value != before)
    answers = []
    for virtual in (unit(), unit_with(Fault("code-not-stored", where=place))):
        ask(virtual, do="power", state=known.power)
        for part in code.write:
            assert "refused" not in ask(virtual, do="code", address=address, code=part)
        answers.append(ask(virtual, do="look", setting=setting, address=address)["shown"])
    stands = demo_unit().code_of(setting, before)
    assert answers == [code.shown, stands.shown if stands else before]


def test_who_looks_for_a_kit_that_is_not_there_sees_none() -> None:
    """Heat may stand enabled and papers may promise a kit: there is none, nor anything of it to read."""
    kit = place_of(SEED).job["identity.kit"]
    assert kit != "none"
    virtual = unit_with(Fault("heat-without-kit", where=kit))
    assert ask(virtual, do="read", field="identity.kit") == {"typed": "none"}
    refused = ask(virtual, do="read", field="heat.path.normal", instrument="")
    assert "no such thing" in refused["refused"]


def test_a_write_puts_what_it_resets_back_to_its_factory_value() -> None:
    """At once where it is stored; the old value acts until power is cycled where the written one waits."""
    changed = tuple(
        s.model_copy(update={"resets": ("air-letter", "bank-use")}) if s.id == "bank-size" else s
        for s in demo_unit().setting
    )
    equipment = demo_unit().model_copy(update={"setting": changed})
    virtual = VirtualUnit(equipment, place_of(SEED), SEED)
    ask(virtual, do="write", setting="air-letter", address="unit", value="a")
    ask(virtual, do="write", setting="bank-use", address="system", value="one")
    assert ask(virtual, do="write", setting="bank-size", address="system", value="cedar") == {
        "shown": "cedar"
    }
    assert ask(virtual, do="look", setting="air-letter", address="unit") == {"shown": "c"}
    assert ask(virtual, do="look", setting="bank-use", address="system") == {"shown": "none"}
    stored = as_found(place_of(SEED).installation, {**virtual.settings, ("air-letter", "unit"): "a"})
    after = store(place_of(SEED).installation, equipment, stored, "bank-size", "system", "elm")
    assert after.stored["air-letter", "unit"] == "c"
    assert after.in_force["air-letter", "unit"] == "a"
    assert cycled(after).in_force["air-letter", "unit"] == "c"
