"""Airflow as found can be read off the fan table at every invented site, whatever the unit."""

from __future__ import annotations

import pytest

from asleft.calc import pressure_ratio
from asleft.equipment.library import find, units
from asleft.installation.behave import behave, option_in_force
from played import place_of

SEEDS = (1, 2, 3, 4)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("id", [known.id for known in units()])
def test_the_static_as_found_lies_inside_the_table_by_more_than_a_manometer_errs(id: str, seed: int) -> None:
    """Two hundredths at each end, the table brought to the site's air; else nothing could be predicted."""
    unit = find(id).equipment
    found = place_of(seed, id)
    there, stored = found.installation, dict(found.settings)
    option = option_in_force(unit, "blower-tier", stored, there.orientation, there.kit)
    tier = (unit.tier(str(option.value)) if option else None) or unit.blower.tier[0]
    thin = pressure_ratio(there.altitude_m) if unit.blower.basis == "standard" else 1.0
    kit = unit.kit(there.kit)
    unseen = (kit.pressure_drop or 0.0) if kit and "kit" not in unit.blower.includes else 0.0
    rows = [row.static_pa * thin - unseen for row in tier.at("cooling").rows if row.airflow_m3s is not None]
    read = behave(there, unit, stored, "blower")
    static = float(read["blower.static.supply"]) - float(read["blower.static.return"])
    assert rows[0] * 1.02 < static < rows[-1] * 0.98
