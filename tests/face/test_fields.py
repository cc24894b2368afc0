"""What a row of a field says: both columns, its limits and verdict, its group, how to fill it in."""

from __future__ import annotations

from itertools import groupby

import pytest

from asleft.face.bars import Gauge
from asleft.face.rows import Row, rows
from asleft.face.rows.fields import with_instruments
from asleft.help import cautions
from asleft.session.acts import parse
from asleft.session.fields import PANES
from asleft.session.values import number_of
from checks.visits import happens, say, undone, use
from face.stages import (
    BEGUN,
    CHOSEN,
    DONE,
    IDLE,
    ISOLATED,
    PAPERS,
    READ,
    WRITTEN,
    instrument,
    noted,
    pane,
    row,
    seen,
)

IDENTITY = "Qualified persons only; local code and the maker's instructions govern."
LIVE = "Live terminals: protection on. A one-pole switch leaves an element live."
LOCKED = "Lock, tag, test first. Never ohms on a live circuit; no non-contact testers."
LINE, GROUND, SUPPLY = "electrical.line.l1_l2", "electrical.ground.resistance", "blower.static.supply"


def test_a_field_that_nobody_filled_in_says_what_it_is_and_how() -> None:
    """Its choices are told; it has no verdict, though findings wait for it."""
    found = row(seen(BEGUN), "identity.orientation")
    assert found == Row(
        parse("identity.orientation"),
        "Orientation as installed",
        help="Which way air leaves the unit. Blower values and kits can depend on it.",
        choices=("upflow", "downflow", "horizontal-left", "horizontal-right"),
        details=("One of: upflow, downflow, horizontal-left, horizontal-right.",),
        caution=IDENTITY,
        findings=("ID-3 unit",),
    )


def test_a_reading_says_its_value_its_limits_and_its_verdict() -> None:
    """In the unit of the screen; first in its state, it heads the group. Nothing is left before a change."""
    found = row(seen(IDLE), LINE)
    assert found.gauge is not None
    assert found.gauge.expanded == pytest.approx(1.6166, abs=5e-5)
    assert found == Row(
        parse(LINE),
        "Line to line, heat off",
        found="240.0 V",
        gauge=Gauge(240.0, found.gauge.expanded, 216.0, 253.0),
        verdict="pass",
        group="Power on, nothing called",
        unit="V",
        help="At the unit's line terminals with nothing called.",
        caution=LIVE,
        findings=("EL-12 circuit.1.measured", "EL-2 unit", "EL-3 unit", "EL-4 leg.l1", "EL-4 leg.l2"),
        done=True,
    )


def test_a_long_help_stands_among_the_details() -> None:
    """On its line a small screen would cut it."""
    found = row(seen(ISOLATED), GROUND)
    help = (
        "From the cabinet to the panel's grounding bar, power off, leads nulled. A low reading does not"
        " prove fault-current capacity."
    )
    assert found.gauge is not None
    assert found == Row(
        parse(GROUND),
        "Grounding path resistance",
        found="0.20 ohm",
        gauge=Gauge(0.2, found.gauge.expanded, None, 0.5),
        verdict="pass",
        unit="ohm",
        help=help,
        details=(help,),
        caution=LOCKED,
        findings=("EL-13 unit",),
        done=True,
    )


@pytest.mark.parametrize("length", [75, 76, 77])
def test_help_of_one_line_does_not_stand_twice(length: int) -> None:
    """Seventy-six columns are read whole on the smallest screen that has the wizard."""
    told = {r.left: r for name in PANES for r in rows(seen(CHOSEN), name, "ip")}
    helped = [told[f.id] for f in seen(CHOSEN).ledger.fields.values() if len(f.help) == length]
    assert helped or length != 76
    assert all((found.help in found.details) == (length > 76) for found in helped)


def test_a_question_is_answered_yes_or_no() -> None:
    """And shown so."""
    found = row(seen(ISOLATED), "electrical.disconnect.lockable")
    assert (found.choices, found.found, found.now, found.verdict) == (("yes", "no"), "yes", "", "pass")
    assert row(seen(ISOLATED, say(found.left, "no")), found.left).found == "no"


@pytest.mark.parametrize(
    ("field", "ip", "si", "unit"),
    [
        ("identity.altitude", "300.0 ft", "91.44 m", ("ft", "m")),
        ("blower.design_airflow", "1200 cfm", "566 L/s", ("cfm", "L/s")),
        ("identity.serial", "LM36-31C-00412", "LM36-31C-00412", ("", "")),
        ("electrical.circuit.1.conductor", "6 AWG", "6 AWG", ("", "")),
        ("identity.kit", "cedar", "cedar", ("", "")),
    ],
)
def test_a_value_is_shown_in_the_units_of_the_screen(
    field: str, ip: str, si: str, unit: tuple[str, str]
) -> None:
    """Words and sizes have none."""
    shown = [row(seen(ISOLATED), field, system=system) for system in ("ip", "si")]
    assert tuple(found.found for found in shown) == (ip, si)
    assert tuple(found.unit for found in shown) == unit


def test_a_change_parts_the_columns_and_asks_for_the_reading_again() -> None:
    """Before it, as found only; after it, to be taken again where it changed; taken again, as left."""
    before, after, done = (row(seen(stage), SUPPLY) for stage in (CHOSEN, WRITTEN, DONE))
    assert (before.found, before.now, before.verdict, before.done) == ("0.32 in. w.c.", "", "pass", True)
    assert (after.found, after.now, after.verdict, after.done) == ("0.32 in. w.c.", "", "take again", False)
    assert (done.found, done.now, done.verdict, done.done) == ("0.32 in. w.c.", "0.36 in. w.c.", "pass", True)
    spared = [row(seen(stage), LINE) for stage in (CHOSEN, WRITTEN)]
    assert [(r.found, r.now) for r in spared] == [("240.0 V", ""), ("240.0 V", "240.0 V")]
    assert after.gauge is None


def test_a_repair_is_a_change_too() -> None:
    """What it may have moved is taken again; the rest is as left from then on."""
    mended = noted("tap moved", mends="EL-6 unit.idle", affects=(LINE,))
    view = seen(IDLE, mended)
    again, spared = row(view, LINE), row(view, GROUND)
    assert (again.found, again.now, again.verdict, again.done) == ("240.0 V", "", "take again", False)
    assert (spared.found, spared.now, spared.verdict) == ("0.20 ohm", "0.20 ohm", "pass")
    again = row(seen(IDLE, mended, say(LINE, "238 V")), LINE)
    assert (again.found, again.now, again.verdict) == ("240.0 V", "238.0 V", "pass")


def test_a_reading_that_fails_says_so_where_it_is_judged() -> None:
    """Where it only takes part, its row names the finding; its own passes beside that."""
    view = seen(IDLE, say(LINE, "205 V"))
    found = row(view, LINE)
    assert (found.found, found.verdict) == ("205.0 V", "FAIL")
    assert found.gauge == Gauge(205.0, pytest.approx(1.4145, abs=5e-4), 216.0, 253.0)  # type: ignore[arg-type]
    beside = row(seen(IDLE, say(LINE, "216.4 V")), LINE)
    assert (beside.verdict, beside.gauge) == ("see EL-4", None)


def test_close_to_a_limit_a_verdict_says_near() -> None:
    """On either side of it."""
    verdicts = [row(seen(IDLE, say(GROUND, f"{ohms} ohm")), GROUND).verdict for ohms in (0.49, 0.51)]
    assert verdicts == ["pass, near", "FAIL, near"]


def test_a_field_that_cannot_be_had_says_so_until_it_is_entered() -> None:
    """It is not asked for again, and it is not done."""
    refused = noted("no room for the leads", refused=GROUND)
    without = undone("entered", field=GROUND)
    found = row(seen(ISOLATED, without, refused), GROUND)
    assert (found.found, found.now, found.verdict, found.done) == ("", "", "cannot", False)
    late = row(seen(ISOLATED, without, refused, say(GROUND, "0.3 ohm")), GROUND)
    assert (late.found, late.verdict, late.done) == ("0.30 ohm", "pass", True)


def test_what_was_typed_stands_beside_where_a_column_would_cut_it() -> None:
    """Repeats of a reading are longer than their mean."""
    typed = "240.0 V; 240.4 V; 239.9 V"
    assert row(seen(IDLE, say(LINE, typed)), LINE).details == (f"Typed: {typed}",)
    assert row(seen(IDLE, say(LINE, "240.00000 V")), LINE).details == ()
    fits, long = "240.00000000 V", "240.000000000 V"
    assert (len(fits), len(long)) == (14, 15)
    assert row(seen(IDLE, say(LINE, fits)), LINE).details == ()
    assert row(seen(IDLE, say(LINE, long)), LINE).details == (f"Typed: {long}",)


def test_what_may_be_left_out_says_so() -> None:
    """At the end of its help."""
    optional = [f for f in seen(READ).ledger.fields.values() if f.optional]
    told = {r.left: r for name in PANES for r in rows(seen(READ), name, "ip")}
    assert optional
    for field in seen(READ).ledger.fields.values():
        if field.kind != "instrument":
            assert told[field.id].help == field.help + (" Optional." if field.optional else "")


@pytest.mark.parametrize("name", PANES)
def test_fields_stand_in_groups_of_the_state_they_are_taken_in(name: str) -> None:
    """In the order of the ledger, each headed once, with the caution of its state or else of its pane."""
    view = seen(CHOSEN)
    fields = [f for f in view.ledger.fields.values() if f.pane == name]
    told = [r for r in rows(view, name, "ip") if r.left in view.ledger.fields]
    assert [r.left for r in told] == [f.id for f in fields]
    heads = {
        "": "Papers and plates",
        "dead": "Power off, hands out: prove it dead",
        "isolated": "Power off, locked, proved dead",
        "idle": "Power on, nothing called",
        "blower": "Blower running, no heat",
        "heat_pump": "Heat pump alone",
        "heat": "Heat on",
        "after": "Minutes of all heat",
        "defrost": "Defrost forced",
        "ordinary": "Left to its control",
    }
    closing = {True: "Before leaving", False: "If it is left not commissioned"}
    wanted = [closing[f.closing] if name == "signoff" else heads[f.state.partition(".")[0]] for f in fields]
    begins = [head for head, _ in groupby(wanted)]
    assert [r.group for r in told if r.group] == begins
    shown = ""
    for field, one, head in zip(fields, told, wanted, strict=True):
        shown = one.group or shown
        assert shown == head
        state = field.state.partition(".")[0]
        assert one.caution == cautions()["state"].get(state, cautions()["pane"][name])


def test_an_instrument_in_hand_is_named_with_what_is_found_about_it() -> None:
    """None in hand, none is named, and the row waits for one."""
    none, one = (row(seen(stage), "identity.instrument.meter") for stage in (BEGUN, PAPERS))
    help = "Voltage and resistance. Enter its id from the instrument list."
    own = ("Your own: NAME | ACCURACY, ACCURACY | YYYY-MM-DD (see help).",)
    assert none == Row(parse("identity.instrument.meter"), "Meter", help=help, details=own, caution=IDENTITY)
    assert (one.found, one.now, one.done) == ("", "meter-1", True)
    expired = use("meter", "old", ("voltage 1 %",), until="2020-01-31")
    late = row(seen(PAPERS, expired), "identity.instrument.meter")
    assert (late.now, late.findings) == ("old", ("ID-7 instrument.old",))


def test_where_an_instrument_is_asked_for_those_of_its_role_may_be_picked() -> None:
    """Each with what it can do; another role's are not on offer; another row stays as it is."""
    view = seen(PAPERS)
    held = {
        "m1": instrument("m1", "meter", "Plain meter", ("voltage 1 %", "resistance 2 %")),
        "m2": instrument("m2", "meter", "Old meter", ()),
        "c1": instrument("c1", "clamp", "Clamp", ("current 1 %",)),
    }
    found = {r.left: r for r in rows(view, "identity", "ip", held)}["identity.instrument.meter"]
    assert found.choices == ("m1", "m2")
    assert found.details == (
        "m1  Plain meter: voltage 1 %; resistance 2 %",
        "m2  Old meter: accuracy not known",
        "Your own: NAME | ACCURACY, ACCURACY | YYYY-MM-DD (see help).",
    )
    for other in (row(view, "identity.site"), Row(parse("power"), "Power")):
        assert with_instruments(other, view, held) is other


def test_findings_a_field_stands_first_in_come_before_others_and_the_worst_first() -> None:
    """So that what is shown of it is what it alone can mend."""
    view = seen(IDLE, say(LINE, "205 V"), say("electrical.line.l1_ground", "118 V"))
    kept = [view.finding(key) for key in row(view, LINE).findings]
    first = [f.fields[0] == LINE for f in kept if f]
    assert first == sorted(first, reverse=True)
    assert [f.key for f in kept if f][:1] != []
    order = ["fail", "conditional fail", "not measured", "conditional pass", "pass", "not applicable"]
    for flag in (True, False):
        ranks = [order.index(f.verdict) for f, one in zip(kept, first, strict=True) if f and one is flag]
        assert ranks == sorted(ranks)


def test_no_gauge_is_drawn_of_another_value_than_the_reading() -> None:
    """A row shows limits only where this very reading is held against them."""
    told = pane(seen(DONE), "electrical") | pane(seen(DONE), "blower") | pane(seen(DONE), "heat")
    drawn = {left for left, one in told.items() if one.gauge}
    assert {LINE, GROUND, "electrical.stage.1.to_frame", "blower.design_airflow"} <= drawn
    assert not drawn & {"electrical.control.added", SUPPLY, "electrical.disconnect.lockable", "blower.zoned"}
    for left in drawn:
        entry, gauge = seen(DONE).ledger.current(left), told[left].gauge
        assert entry is not None
        assert gauge is not None
        assert gauge.value == pytest.approx(number_of(entry.value))


def test_what_the_sign_off_asks_is_only_as_left() -> None:
    """It stands in no other column."""
    found = row(seen(DONE), "signoff.holes_plugged")
    assert found == Row(
        parse("signoff.holes_plugged"),
        "Test holes plugged",
        now="yes",
        verdict="pass",
        help="Every hole drilled for a static or a temperature is closed, tight against air and water.",
        choices=("yes", "no"),
        details=("Every hole drilled for a static or a temperature is closed, tight against air and water.",),
        caution="Leave it safe: whoever comes next trusts what you sign.",
        findings=("SQ-5 unit",),
        done=True,
    )


def test_signed_without_a_change_everything_is_both() -> None:
    """What was found is what is left."""
    view = seen(IDLE, happens("signed", outcome="not commissioned"))
    found = row(view, LINE)
    assert (found.found, found.now) == ("240.0 V", "240.0 V")
