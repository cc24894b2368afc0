"""What a row of a finding says: what is judged, in words, what to do, and the repair or waiver it submits."""

from __future__ import annotations

import pytest

from asleft.checks.finding import Finding
from asleft.face.rows import Row, rows
from asleft.face.rows.findings import (
    finding_row,
    finding_rows,
    given_up,
    open_row,
    pane_of,
    waivable,
    waiver_rows,
)
from asleft.face.rows.verdicts import SIGNS, WORST, badness, keys_of, sign, worst
from asleft.face.working import working_lines
from asleft.session.acts import parse
from asleft.session.fields import PANES
from asleft.visit import View
from checks.visits import happens, never, say
from face.stages import DONE, IDLE, noted, seen

AMPS, GROUND, LINE = "electrical.stage.2.current", "electrical.ground.resistance", "electrical.line.l1_l2"
MENDED = "Type what was mended, as TEXT or PART: TEXT. What it can change is retaken."
PARTS = (
    "Parts: supply, circuit.1, control-circuit, stage.1, stage.2, blower, supply-duct, return-duct, filter, "
    "sensor.outdoor, sensor.room, control, instrument.meter, instrument.clamp, instrument.manometer, "
    "instrument.thermometer, instrument.anemometer. Unsaid: "
)
LOW = say(AMPS, "20 A")


def made(verdict: str, subject: str = "unit", id: str = "EL-2", **more: object) -> Finding:
    """A finding of this verdict."""
    told = {"source": "common practice", **more}
    return Finding(id, subject, "correct", verdict, "It is so.", **told)  # type: ignore[arg-type]


def test_a_failure_says_what_is_wrong_and_what_to_do_and_takes_what_was_mended() -> None:
    """By the finding's id, its title and the stage."""
    view = seen(DONE, LOW)
    finding = view.finding("EL-15 stage.2")
    assert finding is not None
    assert finding_row(view, finding, "Here") == Row(
        parse("mended:EL-15/stage.2"),
        "EL-15 Stage current, stage 2",
        verdict="FAIL",
        group="Here",
        help=MENDED,
        details=(finding.text, f"Do: {finding.do}", f"{PARTS}stage.2."),
        findings=("EL-15 stage.2",),
    )
    assert finding.do.startswith("With power off")


def test_what_is_only_near_or_open_has_nothing_to_mend() -> None:
    """Nor anything to type; what is to be done about a failure alone is told."""
    view = seen(DONE)
    near = finding_row(view, made("conditional pass", do="Watch it."), "")
    assert near == Row(
        None,
        "EL-2 Line voltage, heat off",
        verdict="pass, near",
        help="What is next leads there by itself.",
        details=("It is so.",),
        findings=("EL-2 unit",),
    )
    assert finding_row(view, made("fail"), "").details == ("It is so.", f"{PARTS}supply.")
    papers = finding_row(view, made("fail", id="ID-2"), "").details[-1]
    assert papers == f"{PARTS}these readings alone."
    assert finding_row(view, made("conditional fail"), "").left == "mended:EL-2/unit"
    assert finding_row(view, made("fail", waived=True), "").verdict == "waived"


@pytest.mark.parametrize(
    ("id", "subject", "called"),
    [
        ("EL-2", "unit", "EL-2 Line voltage, heat off"),
        ("EL-4", "leg.l2", "EL-4 Line to ground, L2"),
        ("EL-15", "stage.2", "EL-15 Stage current, stage 2"),
        ("EL-12", "circuit.1.measured", "EL-12 Branch voltage drop, circuit 1, measured"),
        ("EL-12", "circuit.1.predicted", "EL-12 Branch voltage drop, circuit 1, predicted"),
        ("EL-6", "unit.loaded", "EL-6 Control voltage, loaded"),
        ("BL-5", "tier.mild.measured", "BL-5 Fan table, tier mild, measured"),
        ("SQ-3", "setting.patience@unit", "SQ-3 Read back, Patience"),
        ("SQ-3", "setting.gone@system", "SQ-3 Read back, gone"),
    ],
)
def test_a_subject_is_said_as_a_person_says_it(id: str, subject: str, called: str) -> None:
    """No dot and no letter code of ours."""
    view = seen(DONE)
    label = finding_row(view, made("fail", subject, id), "").label
    title = label.partition(",")[0]
    assert title.startswith(f"{id} ")
    assert label.removeprefix(title) == called.removeprefix(called.partition(",")[0])
    assert called.partition(" ")[0] == title.partition(" ")[0]


def test_a_setting_that_lives_in_two_places_says_in_which() -> None:
    """By the label of the address."""
    view = seen(DONE)
    setting = view.equipment.setting_of("patience")
    assert setting is not None
    both = setting.model_copy(update={"address": ("system", "unit")})
    unit = view.equipment.model_copy(
        update={"setting": tuple(both if s.id == "patience" else s for s in view.equipment.setting)}
    )
    label = finding_row(seen(DONE, equipment=unit), made("fail", "setting.patience@unit", "SQ-3"), "").label
    assert label.endswith(", Patience, Air handler")


def test_a_pane_lists_what_is_not_simply_fine_the_worst_first() -> None:
    """Failures, then what is near; nothing that passes or waits; the first heads them."""
    view = seen(IDLE, say(LINE, "209 V"), say(GROUND, "0.49 ohm"))
    told = list(finding_rows(view, "electrical"))
    keys = [r.findings[0] for r in told]
    wanted = [
        f.key
        for f in view.findings
        if f.id.startswith("EL") and f.verdict in ("fail", "conditional fail", "conditional pass")
    ]
    assert sorted(keys) == sorted(wanted)
    assert {"EL-2 unit", "EL-13 unit"} <= set(keys)
    ranks = [WORST.index(f.verdict) for key in keys if (f := view.finding(key))]
    assert ranks == sorted(ranks)
    assert len(set(ranks)) > 1
    assert [r.group for r in told] == ["Findings", *[""] * (len(told) - 1)]
    assert not list(finding_rows(view, "delay"))


def test_what_sums_the_others_up_is_no_finding_of_the_sign_off() -> None:
    """SO-2 stands behind the signature; else it would be listed under itself."""
    view = seen(DONE, LOW)
    so_2 = view.finding("SO-2 unit")
    assert so_2 is not None
    assert so_2.failed
    assert all("SO-2 unit" not in r.findings for r in finding_rows(view, "signoff"))


def test_a_correct_that_fails_may_be_waived_with_a_reason() -> None:
    """A hold may not, nor what is told only; once waived it is not asked for again."""
    view = seen(DONE, LOW, say("heat.path.normal", "no"))
    told = list(waiver_rows(view))
    first = told[0]
    finding = view.finding("EL-15 stage.2")
    assert finding is not None
    assert first == Row(
        parse("waive:EL-15/stage.2"),
        "Waive EL-15 Stage current, stage 2",
        verdict="FAIL",
        group="May be waived, with a reason",
        help="Type the reason.",
        details=(finding.text, f"Do: {finding.do}"),
        findings=("EL-15 stage.2",),
    )
    assert [r.group for r in told[1:]] == [""] * (len(told) - 1)
    severities = {f.severity for r in told if (f := view.finding(r.findings[0]))}
    assert severities == {"correct"}
    failing = [f.key for f in view.findings if f.failed and f.severity == "correct"]
    assert [r.findings[0] for r in told] == failing
    waived = seen(DONE, LOW, happens("waived", id="EL-15", subject="stage.2", why="part on order"))
    assert "waive:EL-15/stage.2" not in [r.left for r in waiver_rows(waived)]


def test_every_finding_stands_on_a_pane() -> None:
    """By the first letters of its check."""
    panes = {f.id[:2]: pane_of(f) for f in seen(DONE).findings}
    assert panes == {
        "ID": "identity",
        "EL": "electrical",
        "BL": "blower",
        "HS": "heat",
        "TD": "delay",
        "SQ": "sequence",
        "SO": "signoff",
    }
    assert tuple(panes.values()) == PANES


def test_verdicts_have_words_and_an_order() -> None:
    """Of several the worst counts that was judged at all."""
    assert SIGNS == {
        "pass": "pass",
        "conditional pass": "pass, near",
        "conditional fail": "FAIL, near",
        "fail": "FAIL",
        "not measured": "",
        "not applicable": "n/a",
    }
    order = ["fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable"]
    assert [badness(made(verdict)) for verdict in order] == list(range(6))
    assert sign(None) == ""
    assert sign(made("conditional fail")) == "FAIL, near"
    several = [made(v) for v in ("pass", "not measured", "conditional pass", "not applicable")]
    found = worst(several)
    assert found is not None
    assert found.verdict == "conditional pass"
    assert worst([made("not measured"), made("not applicable")]) is None


def test_the_findings_about_a_subject_are_named_by_their_keys() -> None:
    """All of that subject and no other."""
    assert keys_of(seen(DONE), "setting.trail@unit") == (
        "SQ-1 setting.trail@unit",
        "SQ-2 setting.trail@unit",
        "SQ-3 setting.trail@unit",
    )


def test_the_working_of_a_finding_says_all_of_it() -> None:
    """What was judged, by which rule, worked out how, from where, why, what to do; causes of a failure."""
    view = seen(DONE, LOW)
    bad, good = view.finding("EL-15 stage.2"), view.finding("EL-13 unit")
    assert bad is not None
    assert good is not None
    told = working_lines(bad)
    assert told[0] == "EL-15  stage.2  (correct): fail"
    assert told[1] == bad.text
    heads = [line.partition(":")[0] for line in told[2:]]
    assert heads == [h for h in ("Rule", "Working", "Source", "Why", "Do", "Usual causes") if h in heads]
    assert {"Rule", "Source", "Why", "Do", "Usual causes"} <= set(heads)
    assert f"Do: {bad.do}" in told
    assert f"Working: {bad.working}" in told
    assert not any(line.startswith("Usual causes") for line in working_lines(good))
    plain = working_lines(made("pass", source=""))
    assert "Source: common practice" in plain
    held = working_lines(made("fail", guards=("loads on", "power on")))
    assert "While open it locks: loads on, power on" in held


def test_a_repair_that_was_noted_leads_to_the_readings_again() -> None:
    """The row of the failure is gone once what it rests on is stale."""
    view = seen(DONE, LOW, noted("element replaced", mends="EL-15 stage.2", affects=(AMPS,)))
    lefts = [r.left for r in rows(view, "electrical", "ip")]
    assert "mended:EL-15/stage.2" not in lefts


FRAME = "electrical.stage.2.to_frame"
NO_TESTER = (never(FRAME), happens("noted", text="no insulation tester", refused=FRAME))


def field_row_of(view: View, id: str) -> Row:
    """The row of a field on its pane."""
    return next(r for r in rows(view, id.partition(".")[0], "ip") if r.field == id)


def test_what_was_not_measured_is_waived_from_its_own_row() -> None:
    """As what failed is; a hold, a pass and what is waived already are not on offer."""
    unmeasured = seen(DONE, never(FRAME))
    assert [f.key for f in waivable(unmeasured, field_row_of(unmeasured, FRAME))] == ["EL-23 stage.2"]
    failed = seen(DONE, say(FRAME, "0.8 Mohm"))
    assert [f.key for f in waivable(failed, field_row_of(failed, FRAME))] == ["EL-23 stage.2"]
    for changes in (
        (),
        (say(FRAME, "6 ohm"),),
        (never(FRAME), happens("waived", id="EL-23", subject="stage.2", why="no tester")),
    ):
        view = seen(DONE, *changes)
        assert waivable(view, field_row_of(view, FRAME)) == ()


def test_what_is_given_up_is_what_failed_or_cannot_be_had() -> None:
    """What merely waits is not; a row offers the given up first."""
    assert given_up(seen(DONE, never(FRAME))) == ()
    assert [f.key for f in given_up(seen(DONE, *NO_TESTER))] == ["EL-23 stage.2"]
    failed = given_up(seen(DONE, LOW))
    assert "EL-15 stage.2" in [f.key for f in failed]
    assert {f.severity for f in failed} == {"correct"}


def test_at_the_sign_off_it_says_why_it_is_open_and_takes_the_reason_of_a_waiver() -> None:
    """Where it was noted that a reading cannot be had, with those words; a hold takes none."""
    view = seen(DONE, *NO_TESTER)
    finding = view.finding("EL-23 stage.2")
    assert finding is not None
    assert open_row(view, finding, "Open: 1") == Row(
        parse("waive:EL-23/stage.2"),
        "EL-23 Insulation of elements, stage 2",
        verdict="open",
        group="Open: 1",
        help="Measure it, or type why it may stand: that waives it.",
        details=(finding.text, "Noted: no insulation tester"),
        findings=("EL-23 stage.2",),
    )
    held = seen(DONE, never("heat.path.normal"))
    hold = held.finding("HS-10 unit")
    assert hold is not None
    assert open_row(held, hold, "").act is None
