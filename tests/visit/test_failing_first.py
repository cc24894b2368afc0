"""What failed comes first: made safe, or mended, before anything that builds on it."""

from __future__ import annotations

from dataclasses import replace
from itertools import takewhile
from typing import Any

import pytest
import tomli

from asleft.drill.rig import BuiltIn
from asleft.drill.site import site
from asleft.drill.technician import act
from asleft.drill.virtual import VirtualUnit
from asleft.installation.faults import Fault, with_faults
from asleft.session.fields import field_of
from asleft.visit import Visit

SEED = 11
SAFETY = ("powered", "acknowledged")


Said = dict[str, Any]
"""An event as its file has it."""


def after_failing(visit: Visit, fault: Fault, id: str) -> list[Said]:
    """What the unattended technician does from the event on with which a check first fails."""
    unit = visit.equipment.equipment
    place = site(SEED, unit)
    place = replace(place, installation=with_faults(place.installation, unit, (fault,)))
    rig = BuiltIn(VirtualUnit(unit, place, SEED))
    failed_at = 0
    while visit.view.next.do != "nothing":
        visit.submit(*act(visit.view, rig))
        if not failed_at and any(f.id == id and f.failed for f in visit.view.findings):
            failed_at = visit.view.state.last_n
    assert failed_at, f"{id} never failed"
    events = tomli.loads(visit.path.read_text("utf-8"))["event"]
    return [event for event in events if event["n"] > failed_at]


def _proves_dead(event: Said) -> bool:
    field = field_of(event.get("field", ""))
    return field is not None and field.passing


def test_a_welded_relay_has_power_off_as_the_very_next_act(visit: Visit) -> None:
    """Current with no call, and nobody reads on beside it."""
    after = after_failing(visit, Fault("relay-welded", 1.0, "1"), "EL-22")
    assert (after[0]["kind"], after[0]["state"]) == ("powered", "off")
    assert not any(e["kind"] == "powered" and e["state"] == "on" for e in after), "nobody could mend it"


def test_a_low_supply_is_mended_before_anything_builds_on_it(visit: Visit) -> None:
    """Only the pairs and legs of the same supply are read first."""
    after = after_failing(visit, Fault("supply-low", 1.0), "EL-2")
    before = list(takewhile(lambda e: e["kind"] != "noted", after))
    rest = [e for e in before if e["kind"] not in SAFETY and not _proves_dead(e)]
    assert {e.get("field", e["kind"]).rpartition(".")[0] for e in rest} <= {"electrical.line"}
    assert after[len(before)]["refused"].startswith(("EL-2", "EL-4"))


def test_ten_minutes_of_heat_wait_for_a_dead_stage(visit: Visit) -> None:
    """The stage is mended, or that is tried, before all heat is watched; what follows asks for nothing."""
    after = after_failing(visit, Fault("element-open", 1.0, "1"), "EL-15")
    before = list(takewhile(lambda e: e["kind"] != "noted", after))
    assert not [e for e in before if e.get("field", "").startswith("heat.minute")]
    assert after[len(before)]["refused"].startswith("EL-15")
    following = [f for f in visit.view.findings if f.follows]
    assert following
    assert all(f.follows.startswith("EL-15") and f.follows in f.text and not f.do for f in following)
    tried = {e.get("refused", "").partition(" ")[0] for e in after if e["kind"] == "noted"}
    assert tried.isdisjoint({f.id for f in following})


@pytest.mark.parametrize("volts", ["198 V", "262 V"])
def test_too_many_volts_end_at_once_too_few_are_read_to_the_end(visit: Visit, volts: str) -> None:
    """Above its range a supply burns what hangs on it."""
    unit = visit.equipment.equipment
    rig = BuiltIn(VirtualUnit(unit, site(SEED, unit), SEED))
    while str(visit.view.next.act) != "electrical.line.l1_l2":
        visit.submit(*act(visit.view, rig))
    visit.enter("electrical.line.l1_l2", volts)
    assert visit.view.next.do == ("power" if volts == "262 V" else "enter")
    assert ("262.0 V" in visit.view.next.why) is (volts == "262 V")
