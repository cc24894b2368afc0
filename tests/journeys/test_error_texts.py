"""A control that answers with an error text: recorded, tried once more, told, never left with power on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.rig import BuiltIn, ask
from asleft.drill.technician import act, headless
from asleft.equipment.library import find
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile
from asleft.session.acts import Write
from asleft.unattended import begin
from asleft.unattended.jobs import virtual_unit
from asleft.visit import View, look
from played import UNIT, begun_at
from support import Told

LOCKED = """
[[control.error]]
shown = "Err 7"
means = "The buttons are locked."
do = "Hold both arrows until the display blinks."
"""
SETTINGS = ("look", "write", "code")


class Erring(BuiltIn):
    """The unit of a seed whose control answers some requests with an error text; what it does, it does."""

    def __init__(
        self,
        equipment: EquipmentFile,
        seed: int,
        when: Callable[[int, Mapping[str, Any]], bool],
        most: int = 10_000,
    ) -> None:
        super().__init__(virtual_unit(equipment, seed))
        self._when, self._most = when, most
        self._asked = 0
        self.erred: list[Mapping[str, Any]] = []

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The unit's own answer, or the text in its place."""
        answer = super().ask(request)
        if request["do"] in SETTINGS and "shown" in answer:
            self._asked += 1
            if len(self.erred) < self._most and self._when(self._asked, request):
                self.erred.append(request)
                return {"shown": "Err 7"}
        return answer


def _played(folder: Path, rig: Erring, seed: int, equipment: EquipmentFile) -> View:
    job = begun_at(folder, "found:", seed, equipment.equipment.unit.id, file=equipment, rig=rig)
    try:
        return headless(job.visit, rig)
    finally:
        job.close()


@pytest.mark.parametrize(
    ("unit", "do"),
    [*((UNIT, do) for do in (*SETTINGS, "any")), ("garthwold-ousel-42", "any"), ("osmere-corrie-24", "any")],
)
@pytest.mark.parametrize("every", [1, 3])
def test_the_work_goes_on_to_a_signature(unit: str, do: str, every: int, tmp_path: Path) -> None:
    """Whatever answers so and however often; what is not commissioned is left with power off."""
    equipment = find(unit)
    rig = Erring(equipment, 4, lambda n, request: n % every == 0 and do in ("any", request["do"]))
    view = _played(tmp_path, rig, 4, equipment)
    assert view.state.signature
    if view.state.signature.outcome == "not commissioned":
        assert view.state.power == "off"
    else:
        assert view.state.power == "on"
    assert not view.state.waivers
    recorded = [act for act in view.state.acts if act.shown == "Err 7"]
    assert len(recorded) == len(rig.erred)


def test_a_write_answered_so_is_written_once_more_at_its_address(tmp_path: Path) -> None:
    """One slip of the control costs one more write, and the unit is commissioned."""
    equipment = find(UNIT)
    rig = Erring(equipment, 4, lambda n, r: (r["do"], r.get("setting")) == ("write", "frost-gate"), most=1)
    view = _played(tmp_path, rig, 4, equipment)
    assert view.state.signature
    assert view.state.signature.outcome == "commissioned"
    wrote = [act for act in view.state.acts if act.kind == "wrote" and act.setting == "frost-gate"]
    assert len(wrote) == 2
    assert wrote[0].shown == "Err 7"
    assert len({act.address for act in wrote}) == 1


def test_a_second_time_is_a_failed_read_back_that_says_what_the_file_says(tmp_path: Path) -> None:
    """Meaning and advice of the file stand in the finding, which no reading closes."""
    equipment = load_bytes((find(UNIT).text + LOCKED).encode(), "locked.toml")
    rig = Erring(equipment, 4, lambda n, r: (r["do"], r.get("setting")) == ("write", "frost-gate"))
    view = _played(tmp_path, rig, 4, equipment)
    assert len(rig.erred) == 2
    finding = view.finding("SQ-3 setting.frost-gate@unit")
    assert finding is not None
    assert finding.verdict == "fail"
    assert "“Err 7”: The buttons are locked." in finding.text
    assert finding.do == "Hold both arrows until the display blinks."
    assert view.state.signature
    assert view.state.signature.outcome == "not commissioned"
    assert view.state.power == "off"


def test_as_found_is_the_text_shown_and_no_value(tmp_path: Path) -> None:
    """It is looked at once more; what it shows then is what was there, and SQ-1 says so."""
    equipment = find(UNIT)
    rig = Erring(equipment, 4, lambda n, r: (r["do"], r.get("setting")) == ("look", "trail"), most=2)
    job = begin(tmp_path, equipment, 4)
    try:
        visit = job.visit
        while not [a for a in visit.view.state.acts if a.kind == "wrote"]:
            visit.submit(*act(visit.view, rig))
        found = visit.view.ledger.acts_on("trail", "unit", "found")
        assert [a.shown for a in found] == ["Err 7", "Err 7"]
        first = visit.view.finding("SQ-1 setting.trail@unit")
        assert first is not None
        assert first.verdict == "pass"
        assert "“Err 7”: not a value of this setting" in first.text
        third = visit.view.finding("SQ-3 setting.trail@unit")
        assert third is not None
        assert not third.releases
    finally:
        job.close()


def test_no_further_part_of_a_code_is_keyed_once_the_control_errs() -> None:
    """What the file calls an error ends the keying, and is what is recorded."""
    equipment = load_bytes((find("marrowby-linnet-30").text + LOCKED).encode(), "locked.toml").equipment
    topic = next(t for t in equipment.topic for o in t.option if "thaw-word" in o.set)
    told = Told(equipment)
    option = next(o for o in topic.option if "thaw-word" in o.set)
    told.event("chose", topic=topic.id, option=option.id)
    view = look(equipment, told.state)
    keyed: list[str] = []

    class Locked:
        """A control that takes nothing."""

        def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
            """What it shows, whatever is keyed."""
            keyed.append(str(request["code"]))
            return {"shown": "Err 7"}

        def close(self) -> None:
            """Nothing to let go of."""

    assert view.ledger.planned()
    assert ask(Locked(), view, Write("thaw-word", "frost")).typed == "Err 7"
    assert len(keyed) == 1
