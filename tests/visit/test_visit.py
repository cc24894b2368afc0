"""The one place where acts are taken: holds keep what they guard, and saved means on disk."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from asleft.drill.rig import BuiltIn
from asleft.drill.site import site
from asleft.drill.technician import SimulatedClock, act, headless
from asleft.drill.virtual import VirtualUnit
from asleft.installation.faults import Fault, with_faults
from asleft.journal import Broken, Chain, classify, event_bytes
from asleft.line.reading import read_session
from asleft.session.events import Event
from asleft.session.state import fold_all
from asleft.visit import Refused, SaveFailed, Visit, look
from played import cut_after
from support import prove_dead

Play = Callable[[str], None]
SEED = 11


def _reopened(visit: Visit) -> Visit:
    visit.close()
    return Visit.open(visit.path, visit.instruments, by="Birk", clock=SimulatedClock(5))


def test_hands_stay_out_until_isolation_is_proved(visit: Visit, play: Play) -> None:
    """Neither with power on nor before EL-1 is acknowledged; after power comes back it lapses."""
    play("power")
    with pytest.raises(Refused, match="power=off"):
        visit.enter("electrical.ground.resistance", "0.2 ohm")
    visit.enter("power", "off")
    with pytest.raises(Refused, match="EL-25") as refused:
        visit.enter("electrical.ground.resistance", "0.2 ohm")
    assert [f.id for f in refused.value.holds] == ["EL-25", "EL-1"]
    with pytest.raises(Refused, match="EL-25"):
        visit.enter("acknowledge:EL-1", "yes")
    prove_dead(visit)
    with pytest.raises(Refused, match="EL-1") as refused:
        visit.enter("electrical.ground.resistance", "0.2 ohm")
    assert [f.id for f in refused.value.holds] == ["EL-1"]
    visit.enter("acknowledge:EL-1", "yes")
    visit.enter("electrical.ground.resistance", "0.2 ohm")
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    visit.enter("power", "off")
    with pytest.raises(Refused, match="EL-1"):
        visit.enter("electrical.ground.resistance", "0.2 ohm")


def test_power_comes_on_only_after_el_19(visit: Visit) -> None:
    """And EL-19 lapses with every power off."""
    visit.enter("power", "off")
    with pytest.raises(Refused, match="EL-19"):
        visit.enter("power", "on")
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    visit.enter("power", "off")
    with pytest.raises(Refused, match="EL-19"):
        visit.enter("power", "on")


def test_heat_is_not_enabled_before_its_airflow_is_predicted(visit: Visit, play: Play) -> None:
    """Writing a setting that allows heat is locked by BL-11 and HS-5 as predicted."""
    play("found:")
    visit.enter("found:bank-use@system", "none")
    with pytest.raises(Refused, match="BL-11"):
        visit.enter("wrote:bank-use@system", "both")


def test_heat_is_not_energised_on_a_circuit_that_is_not_proved(visit: Visit, play: Play) -> None:
    """A device above the maximum locks every heat reading."""
    play("electrical.stage.1.voltage")
    visit.enter("power", "off")
    prove_dead(visit)
    visit.enter("acknowledge:EL-1", "yes")
    visit.enter("electrical.circuit.1.device", "100 A")
    visit.enter("acknowledge:EL-19", "yes")
    visit.enter("power", "on")
    with pytest.raises(Refused, match="EL-8"):
        visit.enter("electrical.stage.1.voltage", "240 V")


def test_a_setting_is_not_written_before_it_was_looked_at(visit: Visit) -> None:
    """The as-found record comes first."""
    with pytest.raises(Refused, match="as-found"):
        visit.enter("wrote:trail@unit", "90")


def test_an_open_visit_cannot_be_signed_as_either(visit: Visit) -> None:
    """Not commissioned is earned too: made safe, tagged, somebody told."""
    with pytest.raises(Refused) as refused:
        visit.enter("sign", "commissioned")
    assert "SO-2" in {f.id for f in refused.value.holds}
    with pytest.raises(Refused, match="SO-3"):
        visit.enter("sign", "not commissioned")


def test_undo_and_redo_are_events(visit: Visit) -> None:
    """The entry goes and comes back; three events stand."""
    visit.enter("identity.site", "Hillside 3")
    visit.undo()
    assert visit.view.state.text("identity.site") is None
    visit.redo()
    assert visit.view.state.text("identity.site") == "Hillside 3"
    assert visit.view.state.last_n == 3
    visit.enter("note", "something else")
    with pytest.raises(Refused):
        visit.redo()


def test_opening_again_writes_nothing_and_resumes_with_the_first_act(visit: Visit) -> None:
    """`resumed` never stands alone."""
    visit.enter("identity.site", "Hillside 3")
    size = visit.path.stat().st_size
    again = _reopened(visit)
    assert again.path.stat().st_size == size
    again.enter("note", "back")
    again.enter("note", "and on")
    assert [e.kind for e in again.view.state.history] == ["entered", "resumed", "noted", "noted"]
    again.close()


def test_the_view_is_what_the_file_alone_gives(visit: Visit, rig: BuiltIn) -> None:
    """Play a whole visit; folding the file from nothing gives the same findings and the same next."""
    view = headless(visit, rig)
    contents = classify(visit.path.read_bytes())
    assert contents.chain is Chain.WHOLE
    fresh = look(visit.equipment.equipment, fold_all(Event.read(e) for e in contents.events))
    assert fresh.findings == view.findings
    assert fresh.next == view.next
    assert fresh.next.do == "nothing"


def test_next_never_repeats_itself_after_being_obeyed(visit: Visit, rig: BuiltIn) -> None:
    """Each thing is asked for once, unless something changed it since."""
    asked: set[tuple[str, str, int]] = set()
    while visit.view.next.do != "nothing":
        view = visit.view
        lefts = (view.next.do, view.next.enter)
        changed = sum(e.kind in ("wrote", "powered", "retracted") for e in view.state.history)
        assert (*lefts, changed) not in asked
        asked.add((*lefts, changed))
        visit.submit(*act(view, rig))


def test_verdicts_that_an_act_changed_stand_in_its_event(visit: Visit) -> None:
    """As shown then; nothing ever reads them back."""
    visit.enter("identity.model", "Lowmoor LM36E")
    events = classify(visit.path.read_bytes()).events
    assert "ID-1 unit pass" in events[-1]["verdicts"]  # type: ignore[operator]


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO])
def test_an_entry_that_cannot_be_saved_is_not_part_of_the_visit(
    visit: Visit, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, error: int
) -> None:
    """It is said, the view stays, and another place can be found."""
    visit.enter("identity.site", "Hillside 3")

    def full(descriptor: int, data: bytes) -> int:
        raise OSError(error, os.strerror(error))

    with monkeypatch.context() as broken:
        broken.setattr(os, "write", full)
        with pytest.raises(SaveFailed):
            visit.enter("identity.serial", "LM36-33L-79365")
    assert visit.view.state.last_n == 1
    elsewhere = tmp_path / "stick"
    elsewhere.mkdir()
    path = visit.move(elsewhere)
    visit.enter("identity.serial", "LM36-33L-79365")
    contents = classify(path.read_bytes())
    assert contents.chain is Chain.WHOLE
    assert [e["kind"] for e in contents.events] == ["entered", "entered"]


def test_a_file_changed_underneath_is_said_and_not_written(visit: Visit) -> None:
    """Another program's bytes are not spoiled further."""
    visit.enter("identity.site", "Hillside 3")
    with visit.path.open("ab") as other:
        other.write(b"# a remark\n")
    size = visit.path.stat().st_size
    with pytest.raises(SaveFailed, match="changed"):
        visit.enter("identity.serial", "LM36-33L-79365")
    assert visit.path.stat().st_size == size


def test_a_forged_event_is_refused_on_opening(visit: Visit, tmp_path: Path) -> None:
    """Links that hold do not make a word a voltage."""
    contents = visit._journal.contents
    header = visit.path.read_bytes()
    forged = {
        "n": 1,
        "at": "2031-05-04T09:00:00Z",
        "by": "Eve",
        "kind": "entered",
        "field": "electrical.line.l1_l2",
        "typed": "240 V",
        "value": "plenty",
        "unit": "V",
    }
    path = tmp_path / "forged.toml"
    path.write_bytes(header + event_bytes(contents.link, forged)[0])
    with pytest.raises(Broken, match="event 1"):
        Visit.open(path, visit.instruments, by="Birk", clock=SimulatedClock(5))


def test_words_follow_the_units_that_a_person_reads(visit: Visit, rig: BuiltIn) -> None:
    """In SI no finding, reason or recommendation speaks of inches, feet or Fahrenheit."""
    headless(visit, rig)
    before, size = visit.view, visit.path.stat().st_size
    after = visit.read_in("si")
    said = [t for f in after.findings for t in (f.text, f.do)]
    said += [topic.why for topic in after.forecast.topics.values()]
    assert not [t for t in said if any(u in t for u in ("in. w.c.", " cfm ", "°F", "Btu"))]
    assert any("Pa" in t for t in said)
    assert [(f.key, f.verdict, f.value) for f in after.findings] == [
        (f.key, f.verdict, f.value) for f in before.findings
    ]
    assert visit.read_in("ip") == before
    assert visit.path.stat().st_size == size


@pytest.mark.parametrize("faulty", [False, True])
def test_a_file_read_again_gives_what_the_screen_showed_at_every_event(
    visit: Visit, tmp_path: Path, faulty: bool
) -> None:
    """Findings, forecast, plan and next of the first n events of the file are those that stood after them."""
    unit = visit.equipment.equipment
    place = site(SEED, unit)
    if faulty:
        broken = with_faults(place.installation, unit, (Fault("element-open", 1.0, "1"),))
        place = replace(place, installation=broken)
    rig = BuiltIn(VirtualUnit(unit, place, SEED))
    shown = {0: visit.view}
    while visit.view.next.do != "nothing":
        visit.submit(*act(visit.view, rig))
        shown[visit.view.state.last_n] = visit.view
    data = visit.path.read_bytes()
    assert any(f.verdict == "fail" for f in visit.view.findings) is faulty
    for n in (*range(1, max(shown), 29), max(shown)):
        copy = tmp_path / "first.toml"
        copy.write_bytes(cut_after(data, n))
        again = read_session(copy).view
        assert again is not None
        for part in ("estimate", "forecast", "plan", "findings", "next"):
            assert getattr(again, part) == getattr(shown[n], part), (n, part)


def test_outside_a_drill_there_is_nothing_to_report_hint_or_finish(visit: Visit) -> None:
    """A visit is no drill."""
    for left, typed in (("report", "element-open by identity.site"), ("hint:1", "x"), ("finish", "yes")):
        with pytest.raises(Refused, match="no drill"):
            visit.enter(left, typed)
