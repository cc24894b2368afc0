"""One thing to do next: safe first, nothing twice, and always an end."""

from __future__ import annotations

from dataclasses import replace

import pytest

from asleft.checks.finding import Finding
from asleft.guide import Next, holds_on, next_thing
from asleft.installation.outlook import Forecast, TopicOutlook
from asleft.sequence import plan
from asleft.session.acts import parse
from asleft.session.fields import templates
from support import Told, demo_unit, something


def _finding(id: str, verdict: str, severity: str = "hold", **more: object) -> Finding:
    subject, lefts = str(more.pop("subject", "unit")), more.pop("fields", ())
    needs = tuple(map(parse, lefts))  # type: ignore[call-overload]
    return Finding(id, subject, severity, verdict, f"{id} text", "common practice", needs=needs, **more)  # type: ignore[arg-type]


def _next(told: Told, *findings: Finding, forecast: Forecast | None = None) -> Next:
    ledger = replace(told.ledger, unsafe=any(f.id == "SO-2" for f in findings))
    return next_thing(ledger, findings, plan(ledger), forecast or Forecast())


SAFE_ON = _finding("EL-19", "pass", guards=("power on", "loads on"), fields=("acknowledge:EL-19",))


def _job_done() -> Told:
    """A visit with all job data in, nothing isolated yet."""
    told = Told(demo_unit())
    told.enter("identity.kit", "cedar")
    told.enter("identity.outdoor", "none")
    for role in ("meter", "clamp", "manometer", "thermometer"):
        told.event("used", field=f"identity.instrument.{role}", instrument=role, name=role, accuracy=[])
    for field in list(told.ledger.fields.values()):
        if (
            not field.state
            and field.kind != "instrument"
            and field.id not in ("identity.kit", "identity.outdoor")
        ):
            told.enter(field.id, something(field))
    return told


def test_the_first_thing_is_the_first_field() -> None:
    """An empty session asks who is working."""
    assert _next(Told(demo_unit())).enter == "identity.technician"


def test_before_anything_live_the_unit_is_isolated() -> None:
    """Job data, power off, the proof that it is dead, volts at each circuit, hands inside."""
    told = _job_done()
    dead = _finding("EL-1", "not measured", guards=("hands inside",), fields=("acknowledge:EL-1",))
    found = _next(told, dead)
    assert (found.do, found.state) == ("power", "off")
    told.event("powered", state="off")
    for passing in [f for f in told.ledger.fields.values() if f.passing and not f.optional]:
        assert _next(told, dead).enter == passing.id
        told.enter(passing.id, something(passing))
    for field in [id for id in told.ledger.fields if ".locked." in id]:
        assert _next(told, dead).enter == field
        told.enter(field, 0.0)
    assert _next(told, dead).enter == "acknowledge:EL-1"
    told.event("acknowledged", id="EL-1")
    released = _finding("EL-1", "pass", guards=("hands inside",), fields=("acknowledge:EL-1",))
    assert _next(told, released).state == "isolated"


def test_power_comes_on_again_only_after_its_acknowledgement() -> None:
    """With nothing left inside, EL-19 comes before power."""
    told = _job_done()
    told.event("powered", state="off")
    for field in list(told.ledger.fields.values()):
        if field.state == "isolated":
            told.enter(field.id, something(field))
    clear = _finding("EL-19", "not measured", guards=("power on", "loads on"), fields=("acknowledge:EL-19",))
    assert _next(told, clear).enter == "acknowledge:EL-19"
    assert _next(told, SAFE_ON).state == "on"


def test_a_failed_hold_is_mended_before_work_goes_on_and_only_once() -> None:
    """A repair is asked for; tried or refused, it is not asked for again."""
    told = _job_done()
    bad = _finding("ID-3", "fail", guards=("enabling heat",), fields=("identity.orientation",))
    found = _next(told, bad)
    assert (found.do, found.enter) == ("mend", "mended:ID-3/unit")
    told.event("noted", text="cannot", refused="ID-3 unit")
    assert _next(told, bad).do != "mend"


def test_a_field_that_cannot_be_taken_is_not_asked_for_again() -> None:
    """Refused once is enough, until somebody enters it."""
    told = Told(demo_unit())
    told.event("noted", text="no plate", refused="identity.technician")
    assert _next(told).enter == "identity.site"


def test_a_waived_correct_is_not_mended() -> None:
    """A waiver settles it; next never proposes one."""
    told = _job_done()
    bad = _finding("ID-1", "fail", "correct", fields=("identity.model",), waived=True)
    assert _next(told, bad).do != "mend"


def _all_done(*, power: str = "on") -> Told:
    told = _job_done()
    told.event("powered", state="off")
    told.event("powered", state="on")
    told.found_all()
    for field in list(told.ledger.fields.values()):
        if field.state:
            told.enter(field.id, something(field))
    for field in list(told.ledger.fields.values()):
        if field.closing:
            told.enter(field.id, True)
    if power == "off":
        told.event("powered", state="off")
    return told


def test_with_nothing_open_it_is_signed_as_commissioned() -> None:
    """The end of a good visit."""
    found = _next(_all_done())
    assert (found.do, found.outcome) == ("sign", "commissioned")


def test_with_a_hold_open_it_is_left_safe_and_signed_as_not_commissioned() -> None:
    """Power off, the person told, and no other outcome on offer."""
    told = _all_done()
    told.event("noted", text="cannot", refused="HS-10 unit")
    guards = ("signing as commissioned",)
    bad = _finding("HS-10", "fail", guards=guards, fields=("heat.path.normal",))
    open_ = _finding("SO-2", "fail", guards=guards, mendable=False)
    unsafe = _finding(
        "SO-3", "not measured", guards=("signing as not commissioned",), fields=("signoff.told",)
    )
    assert _next(told, bad, open_, unsafe).state == "off"
    told.event("powered", state="off")
    assert _next(told, bad, open_, unsafe).enter == "signoff.told"
    for field, value in {"told": "Bo", "made_safe": "isolated", "tagged": True}.items():
        told.enter(f"signoff.{field}", value)
    done = _finding("SO-3", "pass", guards=("signing as not commissioned",))
    assert _next(told, bad, open_, done).outcome == "not commissioned"


def test_help_is_called_for_only_where_nothing_but_power_would_help() -> None:
    """A tag that does not hang yet is hung, whatever became of the switch."""
    told = _all_done()
    guards = ("signing as not commissioned",)
    bad = _finding("HS-10", "fail", guards=("signing as commissioned",), fields=("heat.path.normal",))
    for field, value in {"told": "Bo", "made_safe": "isolated", "tagged": True}.items():
        told.enter(f"signoff.{field}", value)
    told.event("noted", text="cannot", refused="HS-10 unit")
    options = {o.id: o.value for t in told.equipment.topic if t.role == "auxiliary-heat" for o in t.option}
    off = next(id for id, value in options.items() if not value)
    told.event("chose", topic=told.equipment.role("auxiliary-heat").id, option=off)  # type: ignore[union-attr]
    told.event("noted", text="seized", refused="power")
    asked = ("signoff.made_safe", "signoff.tagged")
    untagged = _finding("SO-3", "fail", guards=guards, fields=asked, mendable=False)
    alive = _finding("SO-3", "fail", guards=guards, mendable=False)
    asked_for = _next(told, bad, untagged)
    assert (asked_for.enter, asked_for.field) == ("signoff.tagged", "signoff.tagged")
    assert (asked_for.text, asked_for.why, asked_for.finding) == ("SO-3 text", "SO-3 text", "SO-3 unit")
    found = _next(told, bad, alive)
    assert (found.do, found.text[:28]) == ("nothing", "It cannot be left safe, so i")
    told.event("noted", text="asked the owner")
    assert (_next(told, bad, alive).do, _next(told, bad, alive).state) == ("power", "off")


def _all_done_with_heat_pump() -> Told:
    told = _all_done()
    told.enter("identity.outdoor", "fellgate-36")
    for closing in (False, True):
        for field in list(told.ledger.fields.values()):
            if field.closing == closing and field.kind != "instrument" and not told.ledger.current(field.id):
                told.enter(field.id, something(field))
    return told


STATES = sorted({f.state.partition(".")[0] for f in templates()} - {"", "dead", "isolated"})


@pytest.mark.parametrize("state", STATES)
def test_what_is_stale_is_asked_for_in_whatever_state_it_is_taken(state: str) -> None:
    """Taken once though nobody had to, then changed, it would keep the record from being signed."""
    told = _all_done_with_heat_pump()
    assert _next(told).do == "sign"
    id = next(f.id for f in told.ledger.fields.values() if f.state.partition(".")[0] == state)
    told.event("noted", text="mended", mends="EL-21 unit", affects=[id])
    assert (_next(told).do, _next(told).enter) == ("measure_again", id)


def test_once_signed_there_is_nothing_to_do() -> None:
    """It always ends."""
    told = _all_done()
    told.event("signed", outcome="commissioned")
    assert _next(told).do == "nothing"


def test_a_topic_is_chosen_once_its_outlook_can_recommend() -> None:
    """Without its readings no choice is asked for; with them, the recommended option is named."""
    told = _all_done()
    topic = demo_unit().topic[0]
    option = topic.options("upflow", None)[1].id
    ready = Forecast({topic.id: TopicOutlook(topic.id, topic.role, (), option, "moves most air")})
    found = _next(told, forecast=ready)
    assert (found.do, found.enter, found.value, found.why) == (
        "choose",
        f"choose:{topic.id}",
        option,
        "moves most air",
    )
    waiting = Forecast(
        {topic.id: TopicOutlook(topic.id, topic.role, (), None, "", ("blower.static.supply",))}
    )
    assert _next(told, forecast=waiting).do == "sign"


@pytest.mark.parametrize("verdict", ["pass", "conditional pass", "not applicable"])
def test_a_hold_that_releases_guards_nothing(verdict: str) -> None:
    """Pass, conditional pass and not applicable let the act go on."""
    assert holds_on((_finding("EL-2", verdict, guards=("loads on",)),), ("loads on",)) == ()


@pytest.mark.parametrize("verdict", ["fail", "conditional fail", "not measured"])
def test_a_hold_that_does_not_release_guards_its_acts_alone(verdict: str) -> None:
    """Fail, conditional fail and not measured keep it, for its own acts; an advise never guards."""
    held = _finding("EL-2", verdict, guards=("loads on",))
    assert holds_on((held,), ("loads on",)) == (held,)
    assert holds_on((held,), ("live readings",)) == ()
    assert holds_on((_finding("EL-2", verdict, "advise", guards=("loads on",)),), ("loads on",)) == ()


def test_what_was_not_measured_ends_no_visit_by_itself() -> None:
    """Where nothing else is open it may be waived, and that is said; not beside what failed or a hold."""
    told = _all_done()
    guards = ("signing as commissioned",)
    sums = _finding("SO-2", "not measured", guards=guards, mendable=False)
    told.event("noted", text="no tester", refused="electrical.insulation.electronics_off")
    open_ = _finding("EL-23", "not measured", "correct", fields=("electrical.insulation.electronics_off",))
    offered = _next(told, open_, sums)
    assert (offered.state, offered.text) == ("off", "Waive what is open at Sign-off, or switch power off.")
    assert offered.why == "Open: EL-23 unit, not measured. EL-23 text"
    failed = _finding("HS-12", "fail", "correct", mendable=False)
    held = _finding("HS-10", "not measured", guards=guards)
    for other in (failed, held):
        assert _next(told, open_, other, sums).text == "Switch power off at the unit."


def test_what_only_a_waived_finding_waits_for_is_not_asked() -> None:
    """Unless another finding waits for it too, or somebody measured it all the same."""
    told = _all_done()
    stale = "electrical.insulation.electronics_off"
    told.event("noted", text="mended", mends="EL-13 unit", affects=[stale])
    waived = _finding("EL-23", "not measured", "correct", fields=(stale,), waived=True)
    assert _next(told, waived).do == "sign"
    assert _next(told, waived, _finding("EL-24", "not measured", "correct", fields=(stale,))).state == "off"
    assert _next(told, waived._replace(verdict="fail")).state == "off"
    assert _next(told, waived._replace(waived=False)).state == "off"
