"""Every unit of the library is worked to a signature: units differ by data alone."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from asleft.cli import main
from asleft.drill.technician import headless
from asleft.equipment.library import find, units
from asleft.unattended.jobs import begin
from played import session_bytes

IDS = [known.id for known in units()]
SEED = 1


@cache
def events(id: str) -> list[dict[str, Any]]:
    """What happened in it."""
    return list(tomllib.loads(session_bytes(SEED, id)[1].decode("utf-8"))["event"])


@pytest.mark.parametrize("id", IDS)
def test_a_healthy_unit_of_any_make_ends_commissioned(id: str, tmp_path: Path) -> None:
    """Every check passes, nothing is waived, corrected or given up."""
    name, data = session_bytes(SEED, id)
    path = tmp_path / name
    path.write_bytes(data)
    kinds = [event["kind"] for event in events(id)]
    assert events(id)[-1]["outcome"] == "commissioned"
    assert not {"waived", "retracted", "noted"} & set(kinds)
    assert main(["check", str(path)]) == 0


@pytest.mark.parametrize("id", IDS)
def test_nothing_is_asked_twice_unless_a_setting_changed_it(id: str) -> None:
    """Only fields that a topic's settings change are taken again, and the proof that the unit is dead."""
    from asleft.session.fields import field_of, templates

    changing = {t.id.replace("{stage}", "1").replace("{circuit}", "1") for t in templates() if t.changed_by}
    asked = [event["field"] for event in events(id) if event["kind"] == "entered"]
    again = {id for id in asked if asked.count(id) > 1 and (field := field_of(id)) and not field.passing}
    assert again <= changing


@pytest.mark.parametrize("id", IDS)
def test_what_lives_with_power_off_takes_two_trips_at_most(id: str) -> None:
    """Power goes off for what is looked at in it, and once more for what only a reading could decide.

    A third time only where a setting that waits for power has to follow one that is moved with it off, or
    where air and heat are both moved with it off: heat waits for the air to be measured again.
    """
    unit = find(id).equipment
    if all(setting.power == "on" and not setting.power_cycle for setting in unit.setting):
        return
    off = {setting.id for setting in unit.setting if setting.power == "off"}
    waits = any(setting.waits and off & set(setting.after) for setting in unit.setting)
    moved = {t.role for t in unit.topic if off & {id for option in t.option for id in option.set}}
    measured = moved >= {"blower-tier", "auxiliary-heat"}
    assert sum(e["kind"] == "powered" and e["state"] == "off" for e in events(id)) <= 2 + (waits or measured)


def test_power_is_not_cut_for_writes_that_are_locked(tmp_path: Path) -> None:
    """Where heat waits for the airflow to be measured, power stays on until it is: no to and fro."""
    job = begin(tmp_path, find("osmere-corrie-24"), 3)
    try:
        headless(job.visit, job.rig, most_acts=200)
        switched = [event for event in job.visit.view.state.history if event.kind == "powered"]
        assert job.visit.view.state.signature is not None
        assert len(switched) <= 6
    finally:
        job.close()
