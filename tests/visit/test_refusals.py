"""What happens to a visit when power cannot be switched, or a new meter comes late."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from asleft.drill.rig import BuiltIn
from asleft.drill.technician import act, headless
from asleft.session.acts import Enter, SwitchPower
from asleft.session.payloads import CouldNot
from asleft.visit import Refused, View, Visit


class Stuck:
    """A rig whose switch does not go one way."""

    def __init__(self, rig: BuiltIn, state: str) -> None:
        self._rig, self._state = rig, state
        self.asked = 0

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """As the unit, except for that switch."""
        if request["do"] == "power" and request["state"] == self._state:
            self.asked += 1
            return {"refused": "the switch is seized"}
        return self._rig.ask(request)

    def close(self) -> None:
        """Nothing to let go of."""


def _ended(view: View) -> str:
    return view.state.signature.outcome if view.state.signature else "not signed"


def test_power_that_does_not_come_on_again_is_asked_for_once(visit: Visit, rig: BuiltIn) -> None:
    """It is off, so it is safe: tagged, somebody told, signed as not commissioned."""
    stuck = Stuck(rig, "on")
    view = headless(visit, stuck)
    assert stuck.asked == 1
    assert _ended(view) == "not commissioned"
    assert [note.what for _, note in view.state.noted(CouldNot)] == [SwitchPower()]


def test_power_that_does_not_go_off_ends_safe_only_with_heat_off(visit: Visit, rig: BuiltIn) -> None:
    """Hands never go in; it ends with heat kept off and a tag, or asks once more, then for help."""
    stuck = Stuck(rig, "off")
    view = headless(visit, stuck)
    assert stuck.asked == (1 if _ended(view) == "not commissioned" else 2)
    assert not any(e.written().get("field", "").startswith("electrical.ground") for e in view.state.history)
    heat = view.ledger.role_in_force("auxiliary-heat")
    if _ended(view) == "not commissioned":
        assert heat is not None
        assert not heat.value
    else:
        assert _ended(view) == "not signed"
        assert "call for help" in view.next.text
        visit.enter("note", "the utility is on its way")
        assert (visit.view.next.do, visit.view.next.state) == ("power", "off")


@pytest.mark.parametrize("role", ["meter", "clamp"])
def test_a_new_meter_named_late_is_acknowledged_before_signing(visit: Visit, rig: BuiltIn, role: str) -> None:
    """Ready for live readings is asked for each new meter; the record is signed with no hold open."""
    while visit.view.next.do != "sign":
        visit.submit(*act(visit.view, rig))
    used = visit.view.state.instrument(role)
    assert used is not None
    visit.enter(f"identity.instrument.{role}", used.instrument)
    if role == "clamp":
        assert visit.view.next.enter == "electrical.clamp.true_rms"
        visit.enter("electrical.clamp.true_rms", "yes")
    assert visit.view.next.enter == "acknowledge:EL-18"
    view = headless(visit, rig)
    assert _ended(view) == "commissioned"
    assert not [f.key for f in view.findings if f.open]


def test_a_slip_of_the_keys_does_not_move_the_airflow_or_lock_its_own_correction(
    visit: Visit, rig: BuiltIn
) -> None:
    """A leaving air of 200 °F contradicts the fan table, which stays; it is taken again at once."""
    while not visit.view.next.enter.endswith(".leaving_air"):
        visit.submit(*act(visit.view, rig))
    before = visit.view.estimate.heating_airflow_m3s
    field = visit.view.next.enter
    visit.enter(field, "200 degF")
    visit.enter(field, "99 degF")
    after = visit.view.estimate
    assert after.heating_airflow_method in ("fan table", "")
    assert after.heating_airflow_m3s == before


def test_nothing_is_begun_that_would_not_be_recorded(visit: Visit, rig: BuiltIn) -> None:
    """Power on with its acknowledgement open is forbidden before anybody touches the switch."""
    while visit.view.state.power == "on":
        visit.submit(*act(visit.view, rig))
    assert visit.forbidden(SwitchPower()) is not None
    visit.enter("acknowledge:EL-19", "yes")
    assert visit.forbidden(SwitchPower()) is None
    assert visit.forbidden(Enter("electrical.line.l1_l2")) is not None
    assert visit.forbidden(Enter("identity.site")) is None
    with pytest.raises(Refused, match="power is off"):
        visit.enter("electrical.line.l1_l2", "240 V")
