"""A control that was repaired or replaced holds what nobody has seen: every setting is looked at again."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.technician import act
from played import begun_at


@pytest.mark.parametrize("unit", ["tarnfield-lowmoor-36", "osmere-corrie-24"])
def test_after_a_control_was_mended_every_setting_is_put_right_before_anybody_signs(
    tmp_path: Path, unit: str
) -> None:
    """The new one comes with what the factory set."""
    job = begun_at(tmp_path, "sign", unit=unit)
    seen = job.visit.view.state.acts
    held = {(a.setting, a.address): a.shown for a in seen}
    job.visit.enter("heat.path.normal", "no")
    job.visit.enter("mended:HS-10/unit", "control: a new board")
    for setting, address in job.visit.equipment.equipment.places():
        if setting.entry != "code" and setting.factory is not None:
            job.rig.ask({"do": "power", "state": setting.power})
            told = {"setting": setting.id, "address": address, "value": setting.factory}
            assert "refused" not in job.rig.ask({"do": "write", **told})
    job.rig.ask({"do": "power", "state": "off"})
    job.rig.ask({"do": "power", "state": "on"})
    sequence = [f for f in job.visit.view.findings if f.id in ("SQ-3", "SQ-4")]
    assert {f.verdict for f in sequence} <= {"not measured", "not applicable"}
    assert any("repaired" in f.text for f in sequence)

    while job.visit.view.next.do != "nothing":
        job.visit.submit(*act(job.visit.view, job.rig))
    signature = job.visit.view.state.signature
    assert signature is not None
    assert signature.outcome == "commissioned"
    now = {(a.setting, a.address): a.shown for a in job.visit.view.state.acts[len(seen) :]}
    assert now == held


@pytest.mark.parametrize("said", ["blower: a new relay", "found a loose plug"])
def test_a_repair_of_something_else_leaves_the_settings_known(tmp_path: Path, said: str) -> None:
    """Nor does one of which nobody says that it was the control, where it may have been another part."""
    job = begun_at(tmp_path, "sign")
    before = [f for f in job.visit.view.findings if f.id in ("SQ-3", "SQ-4")]
    job.visit.enter("heat.path.normal", "no")
    job.visit.enter("mended:HS-10/unit", said)
    after = [f for f in job.visit.view.findings if f.id in ("SQ-3", "SQ-4")]
    assert [(f.name, f.verdict) for f in after] == [(f.name, f.verdict) for f in before]
