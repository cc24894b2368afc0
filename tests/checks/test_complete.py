"""Every check of the catalogue is told passing, failing, not measured and not applicable, where it can be."""

from __future__ import annotations

import pytest

from asleft import checks
from checks import (
    test_air_methods,
    test_blower,
    test_closing,
    test_control_power,
    test_currents,
    test_dead,
    test_delay,
    test_drops,
    test_ducts,
    test_electrical,
    test_heat,
    test_heat_allowed,
    test_heat_tried,
    test_heater_air,
    test_identity,
    test_in_force,
    test_insulation,
    test_joints,
    test_landed,
    test_leaving_air,
    test_sensors,
    test_sequence,
    test_signoff,
    test_supply_range,
    test_three_phases,
)

ROWS = (
    *test_identity.ROWS,
    *test_electrical.ROWS,
    *test_electrical.CIRCUITS,
    *test_supply_range.ROWS,
    *test_control_power.ROWS,
    *test_drops.ROWS,
    *test_joints.ROWS,
    *test_dead.ROWS,
    *test_landed.ROWS,
    *test_insulation.ROWS,
    *test_currents.ROWS,
    *test_three_phases.ROWS,
    *test_ducts.ROWS,
    *test_blower.ROWS,
    *test_air_methods.ROWS,
    *test_heater_air.ROWS,
    *test_heat.ROWS,
    *test_heat_allowed.ROWS,
    *test_leaving_air.ROWS,
    *test_heat_tried.ROWS,
    *test_sensors.ROWS,
    *test_sequence.ROWS,
    *test_signoff.ROWS,
    *test_delay.ROWS,
    *test_in_force.ROWS,
    *test_closing.ROWS,
)
ASKED = ("pass", "fail", "not measured", "not applicable")
NEVER: dict[str, dict[str, str]] = {
    "not applicable": {
        "ID-1": "every unit has a data plate",
        "ID-5": "every site has an altitude",
        "ID-7": "nobody works without instruments",
        "EL-2": "every unit has a supply",
        "EL-3": "every supply has a published range",
        "EL-4": "every supply has a ground",
        "EL-13": "every cabinet is grounded",
        "EL-18": "live readings are part of every visit",
        "EL-19": "power comes on again in every visit",
        "BL-4": "statics are taken in every visit",
        "BL-9": "every unit moves air",
        "BL-12": "every unit has a filter",
        "BL-15": "statics are taken in every visit",
        "SQ-5": "something is put in at every visit",
        "SO-1": "there is always a record",
        "SO-4": "there is always a record",
        "SO-5": "somebody owns every unit",
        "SO-2": "there is always a record",
    },
    "fail": {
        "TD-3": "it tells what delays do, and judges none",
        "ID-5": "an altitude is known or not",
        "EL-1": "it is acknowledged or not",
        "EL-18": "it is acknowledged or not",
        "EL-19": "it is acknowledged or not",
        "SO-1": "a reading is to be taken again or not",
    },
    "not measured": {"SQ-2": "what was written is on record as it is written"},
}


@pytest.mark.parametrize("verdict", ASKED)
@pytest.mark.parametrize("id", [rule.id for rule in checks.catalogue()])
def test_every_check_is_told_in_every_verdict_that_it_can_give(id: str, verdict: str) -> None:
    """A check without a row of a verdict says why it cannot have one, and none says so in vain."""
    told = any(row.verdict == verdict for row in ROWS if row.key.split()[0] == id)
    assert told != (id in NEVER.get(verdict, {}))


def test_no_two_rows_tell_the_same() -> None:
    """Names are unique for each finding."""
    names = [(row.key, row.behaviour, row.equipment is None) for row in ROWS]
    assert len(set(names)) == len(names)
