"""Whole visits to a unit whose physics shares nothing with the program: sound, and with a bad joint."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.technician import SimulatedClock, headless, session_id
from asleft.equipment.library import instruments
from asleft.equipment.load import load_bytes
from asleft.visit import View, Visit
from rigs.plover import Plover, file


def worked(folder: Path, rig: Plover) -> View:
    """What doing only what is next leads to."""
    visit = Visit.create(
        folder,
        load_bytes(file().encode(), "plover.toml"),
        {i.id: i for i in instruments()},
        site="Low Barn 3",
        by="Ida Holm",
        clock=SimulatedClock(rig.seed),
        session_id=session_id(rig.seed),
    )
    try:
        return headless(visit, rig)
    finally:
        visit.close()


def outcome(view: View) -> str:
    """As what it was signed."""
    return view.state.signature.outcome if view.state.signature else ""


@pytest.mark.parametrize("seed", [3, 14, 15])
def test_a_sound_unit_is_commissioned_with_what_the_record_says(seed: int, tmp_path: Path) -> None:
    """The dial stands where the record has it, and nothing was found at fault."""
    rig = Plover(seed)
    view = worked(tmp_path, rig)
    assert outcome(view) == "commissioned"
    assert view.ledger.shown("dial", "front") == rig.dial
    assert not view.state.mends
    assert not [f.key for f in view.findings if f.failed and f.severity != "advise"]


@pytest.mark.parametrize(("joint_ohm", "panel"), [(0.2, True), (0.9, True), (0.3, False)])
def test_a_lug_that_burns_is_found_and_remade(joint_ohm: float, panel: bool, tmp_path: Path) -> None:
    """By volts at the panel, or across the joints where nobody gets there; then heat runs again."""
    rig = Plover(1, joint_ohm=joint_ohm, panel_reached=panel)
    view = worked(tmp_path, rig)
    assert rig.joint_ohm == 0.0
    assert [str(mend.finding) for _, mend in view.state.mends] == ["EL-26/circuit.1"]
    assert outcome(view) == "commissioned"
