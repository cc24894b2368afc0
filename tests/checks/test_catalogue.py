"""The catalogue and the functions agree, and every finding keeps to the words agreed."""

from __future__ import annotations

import pytest

from asleft import checks
from asleft.checks.finding import ACTS
from asleft.checks.listing import CHECKS
from checks.visits import FACTS, Change, all_of, choose, found, happens, judged, never, say, visit, with_part
from support import Told, demo_unit

VERDICTS = {"pass", "conditional pass", "conditional fail", "fail", "not measured", "not applicable"}
GUARDS = {
    "live readings": {"EL-18"},
    "hands inside": {"EL-1", "EL-25"},
    "recording isolation": {"EL-25"},
    "power on": {"EL-19"},
    "loads on": {"EL-2", "EL-4", "EL-5", "EL-13", "EL-19"},
    "energising heat": {"EL-8", "EL-9", "EL-10", "EL-23", "EL-26", "ID-4"},
    "enabling heat": {"ID-3", "BL-11", "HS-5"},
    "signing as commissioned": {"BL-11", "HS-5", "EL-22", "HS-10", "BL-16", "SO-2", "SO-6"},
    "signing as not commissioned": {"SO-3"},
}


def test_every_check_of_the_catalogue_has_a_function_and_every_function_a_place_in_it() -> None:
    """Neither can be forgotten."""
    assert set(CHECKS) == {rule.id for rule in checks.catalogue()}
    assert len({rule.id for rule in checks.catalogue()}) == len(checks.catalogue())


def test_every_rule_says_all_that_a_person_asks() -> None:
    """What, why, how, whose, and what to do."""
    for rule in checks.catalogue():
        assert all((rule.title, rule.rule, rule.source, rule.why, rule.measure, rule.causes, rule.do)), (
            rule.id
        )
        assert rule.severity in ("hold", "correct", "advise")
        assert {a for acts in rule.guards.values() for a in acts} <= set(ACTS)


@pytest.mark.parametrize("act", ACTS)
def test_an_act_is_guarded_by_its_checks_and_by_no_other(act: str) -> None:
    """The list of what a hold guards is stated once."""
    guarding = {r.id for r in checks.catalogue() if any(act in acts for acts in r.guards.values())}
    assert guarding == GUARDS[act]


def test_only_a_hold_guards_and_every_hold_of_the_catalogue_guards_something() -> None:
    """A check that is no hold locks nothing."""
    for rule in checks.catalogue():
        assert any(rule.guards.values()) == (rule.severity == "hold"), rule.id


def test_what_is_predicted_guards_enabling_and_what_is_measured_guards_signing() -> None:
    """The same check guards different acts by its subject."""
    findings = found()
    for id in ("BL-11", "HS-5"):
        assert findings[f"{id} unit.predicted"].guards == ("enabling heat",)
    for key in ("BL-11 unit.measured", "HS-5 stage.1.measured", "HS-5 stage.2.measured"):
        assert findings[key].guards == ("signing as commissioned",)


SITUATIONS: dict[str, tuple[Change, ...]] = {
    "healthy": (),
    "no kit": (say("identity.kit", "none"),),
    "kit unsaid": (never("identity.kit"),),
    "no heat pump": (say("identity.outdoor", "none"),),
    "another code": (say("identity.code", "IEC 60364"),),
    "power off": (happens("powered", state="off"),),
    "a third kit": (say("identity.kit", "elm"),),
    "other tier chosen": (choose("tier", "hush"),),
    "downflow": (say("identity.orientation", "downflow"),),
}


@pytest.mark.parametrize("name", SITUATIONS)
def test_every_finding_keeps_to_the_words_agreed(name: str) -> None:
    """Six verdicts, three severities, catalogue order, one finding a subject, guards only on a hold."""
    findings = list(found(*SITUATIONS[name]).values())
    order = [r.id for r in checks.catalogue()]
    ranks = [order.index(f.id) for f in findings]
    assert ranks == sorted(ranks)
    assert {f.id for f in findings} == set(order)
    for f in findings:
        assert f.verdict in VERDICTS
        assert f.severity in ("hold", "correct", "advise")
        assert f.severity == "hold" or not f.guards
        assert f.text
        assert f.text.endswith((".", "?"))
        assert not f.text.endswith("..")
        assert f.verdict != "not measured" or f.needs or f.id in ("BL-11", "HS-5", "SO-2"), f
        assert (f.value is None) == (f.kind == "")


def test_an_empty_session_passes_nothing_but_what_needs_nothing() -> None:
    """Before anything was told, no check claims that something is right."""
    findings = judged(Told(demo_unit()))
    assert {f.id for f in findings.values() if f.verdict in ("pass", "conditional pass")} <= {"SO-1"}
    assert not any(f.failed for f in findings.values())


def test_a_unit_of_which_the_maker_says_little_has_little_to_check() -> None:
    """Only a data plate and a tier: what needs more is not applicable, and nothing breaks."""
    sparse = demo_unit().model_copy(
        update={
            "heater": (),
            "heat_pump": None,
            "control_circuit": None,
            "address": (),
            "setting": (),
            "code": (),
            "topic": (),
            "limits": with_part("limits", leaving_air=None, lowest_rise=None, highest_rise=None).limits,
            "unit": with_part("unit", serial_pattern=None, orientations=(), cooling_capacity=None).unit,
        }
    )
    job = Told(sparse)
    all_of({f: v for f, v in FACTS.items() if f in job.ledger.fields})(job)
    findings = judged(job)
    for id in ("ID-2", "ID-3", "ID-4", "ID-6", "ID-8", "EL-8", "EL-10", "EL-15", "BL-2", "BL-8", "HS-1"):
        assert {f.verdict for f in findings.values() if f.id == id} == {"not applicable"}, id
    assert findings["BL-1 unit"].verdict == "pass"


# ---- waivers


def test_a_waiver_stands_until_what_it_rested_on_is_taken_anew() -> None:
    """A correct waived is no longer open; a newer reading asks again."""
    low = say("electrical.loaded.l1_l2", "205 V")
    waive = happens("waived", id="EL-14", subject="unit", why="the utility is told")
    assert found(low)["EL-14 unit"].open
    waived = found(low, waive)["EL-14 unit"]
    assert waived.waived
    assert not waived.open
    lapsed = found(low, waive, say("electrical.loaded.l1_l2", "206 V"))["EL-14 unit"]
    assert not lapsed.waived
    assert lapsed.open


def test_a_hold_is_never_waived() -> None:
    """Whatever the file says."""
    waive = happens("waived", id="EL-2", subject="unit", why="no time")
    finding = found(say("electrical.line.l1_l2", "208 V"), waive)["EL-2 unit"]
    assert not finding.waived
    assert finding.open


def test_a_waiver_of_one_subject_is_none_of_another() -> None:
    """It names what it lets pass."""
    waive = happens("waived", id="EL-15", subject="stage.1", why="a spare is on order")
    dead = say("electrical.stage.2.current", "23.2 A")
    finding = found(dead, waive)["EL-15 stage.2"]
    assert finding.verdict == "fail"
    assert not finding.waived


# ---- what a finding rests on


def test_a_finding_names_its_fields_and_the_events_it_rests_on() -> None:
    """Enough to find every entry again, and to know what a repair makes stale."""
    job = visit()
    finding = judged(job)["EL-14 unit"]
    assert finding.fields == ("electrical.loaded.l1_l2",)
    entry = job.state.latest("electrical.loaded.l1_l2")
    assert entry is not None
    assert entry.n in finding.rests_on


def test_mending_makes_the_findings_fields_stale_and_the_finding_not_measured() -> None:
    """What was measured before a repair proves nothing after it."""
    fields = found()["EL-15 stage.1"].fields
    mend = happens("noted", text="element replaced", mends="EL-15 stage.1", affects=list(fields))
    finding = found(mend)["EL-15 stage.1"]
    assert finding.verdict == "not measured"
    assert finding.fields == fields


def test_an_instrument_of_unknown_accuracy_gives_no_outright_pass() -> None:
    """Nobody knows how near the limit the reading is."""
    used = happens(
        "used", field="identity.instrument.meter", instrument="own", name="My own meter", accuracy=[]
    )
    findings = found(used, say("electrical.loaded.l1_l2", "238 V"))
    assert findings["EL-14 unit"].verdict == "conditional pass"
    assert "accuracy is not known" in findings["EL-14 unit"].text
    assert found(used, say("electrical.loaded.l1_l2", "190 V"))["EL-14 unit"].verdict == "fail"


def test_a_conditional_verdict_says_what_would_settle_it_and_how_likely_it_is() -> None:
    """A better instrument, or a repeat."""
    finding = found(say("electrical.loaded.l1_l2", "217 V"))["EL-14 unit"]
    assert finding.verdict == "conditional pass"
    assert "or better" in finding.text
    assert finding.probability is not None
    assert 0.5 < finding.probability < 1.0
    assert finding.margin == pytest.approx(1.0)


def test_only_what_is_open_says_what_to_do() -> None:
    """A check that passed asks for nothing."""
    for finding in found().values():
        assert bool(finding.do) == (not finding.releases), finding


def test_a_fall_of_the_room_can_be_repeated_from_its_working() -> None:
    """7350 W, 351.7 W/K and a quarter of 30.66 MJ/K for 960 s: 0.90 K, computed by hand."""
    working = found()["TD-2 unit"].working
    assert "7350 W / 351.7 W/K x (1 - exp(-960 s x 351.7 W/K / 7.66 MJ/K)) = 0.90 K" in working
    long = found(choose("delay", "min-75"))["TD-2 unit"].working
    assert "exp(-3600 s" in long
