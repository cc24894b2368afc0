"""What an installed unit truly reads: Ohm's law, an energy balance, and roots by scipy."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from asleft.equipment.model import Equipment
from asleft.installation.behave import behave, option_in_force
from asleft.installation.unit import Branch, Installation
from installation.units import CFM, INCH, celsius, demo, reference_file, reference_unit, unit

K_SUPPLY, K_RETURN = (inches * INCH / (1200 * CFM) ** 2 for inches in (0.30, 0.20))
COPPER = Branch(60.0, "6 AWG", "copper", 75, 30.0, 2, 0.0)
IDEAL = Installation(
    source_v=240.0,
    source_ohm=0.0,
    system="split",
    phases=1,
    ground_ohm=0.1,
    control_factor=1.0,
    control_regulation=0.0,
    branches=(COPPER, COPPER),
    kit="cedar",
    element_factors=(1.0, 1.0),
    orientation="upflow",
    altitude_m=0.0,
    supply_coefficient=K_SUPPLY,
    return_coefficient=K_RETURN,
    exponent=2.0,
    fan_factor=1.0,
    blower_power_factor=2 / 3,
    return_air_c=celsius(70),
    rise_factor=1.0,
    standby_a=0.0,
)
"""The healthy reference: 400 W at 240 V and a power factor of 2/3 are 2.5 A."""
PRESSURE = {0.0: 101325.0, 500.0: 95461.0, 1000.0: 89875.0, 4000.0: 61640.0}
"""ASHRAE Fundamentals 2017, ch. 1, table 1."""


def stored(**changes: str) -> dict[tuple[str, str], str]:
    """Factory settings with both stages of the 9.6 kW kit enabled, or others."""
    held = {(s.id, a): s.factory or s.values[0] for s, a in unit(demo()).places()}
    meant = {"bank_size": "cedar", "bank_use": "both"} | changes
    return {(id, a): meant.get(id.replace("-", "_"), value) for (id, a), value in held.items()}


def truth(state: str, equipment: Equipment | None = None, **changes: Any) -> dict[str, Any]:
    """What the reference reads, something about it otherwise."""
    held = changes.pop("settings", stored())
    return behave(replace(IDEAL, **changes), equipment or reference_unit(), held, state)


def test_the_healthy_reference_reads_as_it_should() -> None:
    """240 V, 12 ohm and 20 A each, blower 2.5 A, 0.30 and -0.20 in. w.c., a rise of 26.3 degF."""
    idle, blowing = truth("idle"), truth("blower")
    first, second = truth("heat.1"), truth("heat.2")
    assert idle["electrical.line.l1_l2"] == 240.0
    assert (idle["electrical.line.l1_ground"], idle["electrical.line.l2_ground"]) == (120.0, 120.0)
    assert blowing["electrical.blower.current"] == pytest.approx(2.5, rel=1e-5)
    assert blowing["blower.static.supply"] == pytest.approx(0.30 * INCH, rel=1e-5)
    assert blowing["blower.static.return"] == pytest.approx(-0.20 * INCH, rel=1e-5)
    assert first["electrical.stage.1.current"] == pytest.approx(20.0)
    assert second["electrical.stage.2.current"] == pytest.approx(40.0)
    rise = second["heat.stage.2.leaving_air"] - second["heat.stage.2.return_air"]
    assert rise * 1.8 == pytest.approx(26.3, abs=0.05)


@pytest.mark.parametrize(("system", "to_ground"), [("split", 104.0), ("wye", 120.09)])
def test_a_208_v_supply_gives_three_quarters_of_the_heat(system: str, to_ground: float) -> None:
    """34.7 A and 7.2 kW; a leg reads 104 V to ground of a split supply, 120 of a wye."""
    found = truth("heat.2", source_v=208.0, system=system)
    assert found["electrical.stage.2.current"] == pytest.approx(34.67, abs=0.005)
    assert found["electrical.stage.2.current"] * 208 == pytest.approx(7211, abs=1)
    idle = truth("idle", source_v=208.0, system=system)
    assert idle["electrical.line.l1_ground"] == pytest.approx(to_ground, abs=0.01)


@pytest.mark.parametrize(
    ("system", "legs"),
    [("high-leg", (120.0, 207.8, 120.0)), ("line-neutral", (240.0, 0.0, 0.0))],
)
def test_each_leg_reads_to_ground_what_its_system_gives(system: str, legs: tuple[float, ...]) -> None:
    """One leg of a high-leg delta near 208 V; a neutral near 0."""
    idle = truth("idle", system=system)
    for n, volts in enumerate(legs, 1):
        assert idle[f"electrical.line.l{n}_ground"] == pytest.approx(volts, abs=0.1)


@settings(max_examples=60, deadline=None)
@given(
    altitude_m=st.sampled_from(sorted(PRESSURE)),
    source_v=st.floats(200, 252),
    factors=st.tuples(st.floats(0.9, 1.05), st.floats(0.9, 1.05)),
    ohm=st.floats(0, 0.1),
    thick=st.floats(0.8, 1.3),
)
def test_the_air_carries_off_all_the_heat(
    altitude_m: float, source_v: float, factors: tuple[float, float], ohm: float, thick: float
) -> None:
    """1.08 cfm dT p/p0 = 3.412142 W of elements and blower, within 0.1 %."""
    thin = PRESSURE[altitude_m] / 101325
    found = truth(
        "heat.2",
        altitude_m=altitude_m,
        source_v=source_v,
        element_factors=factors,
        source_ohm=ohm,
        supply_coefficient=K_SUPPLY * thick * thin,
        return_coefficient=K_RETURN * thick * thin,
    )
    # Static per air of sea level on the reference's table: 0.50 k (q/1200)^2 meets it, in in. w.c. and cfm.
    rows = REFERENCE
    cfm = brentq(
        lambda q: 0.50 * thick * (q / 1200) ** 2 - static_at(rows, q), rows[-1][1], rows[0][1], xtol=1e-9
    )
    blower_w = watts_at(rows, static_at(rows, cfm)) * thin
    heat_w = found["electrical.stage.2.voltage"] * found["electrical.stage.2.current"] + blower_w
    rise_f = (found["heat.stage.2.leaving_air"] - found["heat.stage.2.return_air"]) * 1.8
    assert 1.08 * cfm * rise_f * thin == pytest.approx(3.412142 * heat_w, rel=1e-3)


REFERENCE = [(0.30, 1320.0, 380.0), (0.50, 1200.0, 400.0), (0.80, 960.0, 430.0)]


def static_at(rows: list[Any], cfm: float) -> float:
    """The static of a fan table at an airflow, straight between rows."""
    for (low, most, _), (high, least, _) in pairwise(rows):
        if least <= cfm <= most:
            return float(low + (high - low) * (most - cfm) / (most - least))
    raise AssertionError(cfm)


def watts_at(rows: list[Any], static: float) -> float:
    """The power of a fan table at a static."""
    for (low, _, start), (high, _, end) in pairwise(rows):
        if low <= static <= high:
            return float(start + (end - start) * (static - low) / (high - low))
    raise AssertionError(static)


def two_circuits() -> dict[str, Any]:
    """A 13.8 kW kit on two circuits, the blower on the first, with a source and branches that drop."""
    return {
        "kit": "elm",
        "source_ohm": 0.03,
        "element_factors": (0.97, 0.98),
        "branches": (replace(COPPER, loop_ohm=0.04), replace(COPPER, loop_ohm=0.06)),
        "settings": stored(bank_size="elm"),
    }


def test_every_circuit_obeys_ohms_law_at_its_own_volts() -> None:
    """Source less what both circuits drop in it, less the branch's own; then V/R and the blower."""
    equipment = unit(demo())
    everything = truth("heat.all", equipment, **two_circuits())
    amps = [everything[f"electrical.circuit.{n}.called.l1"] for n in (1, 2)]
    panel = 240.0 - 0.03 * sum(amps)
    volts = [panel - 0.04 * amps[0], panel - 0.06 * amps[1]]
    assert everything["electrical.loaded.l1_l2"] == pytest.approx(volts[0], rel=1e-9)
    second = truth("heat.2", equipment, **two_circuits())
    assert second["electrical.stage.2.voltage"] == pytest.approx(volts[1], rel=1e-9)
    assert second["electrical.stage.2.current"] == pytest.approx(amps[1], rel=1e-9)
    assert amps[1] == pytest.approx(volts[1] * 6900 * 0.98 / 240**2, rel=1e-9)
    rows = next(
        s["rows"]
        for t in demo()["blower"]["tier"]
        if t["id"] == "mild"
        for s in t["speed"]
        if s["use"] == "heating"
    )
    total = (everything["heat.static.supply"] - everything["heat.static.return"]) / INCH
    blower_a = watts_at(rows, total) / (volts[0] * 2 / 3)
    assert amps[0] == pytest.approx(volts[0] * 6900 * 0.97 / 240**2 + blower_a, rel=1e-5)


def test_legs_of_a_circuit_carry_the_same_and_nothing_leaks() -> None:
    """A clamp round both reads 0."""
    found = truth("heat.all")
    assert found["electrical.circuit.1.called.l1"] == found["electrical.circuit.1.called.l2"]
    assert found["electrical.circuit.1.called.both"] == 0.0


def test_a_three_phase_kit_draws_root_3_less() -> None:
    """9.6 kW at 208 V: 26.65 A in each line."""
    data = reference_file()
    for part in (*data["supply"], *data["heater"]):
        part["phases"] = 3
    for kit in data["heater"]:
        kit["voltage"] = "208 V"
        for stage in kit["stage"]:
            stage.pop("connection", None)
            stage["elements"] = 3
            stage["connection"] = "delta"
    found = truth("heat.2", unit(data), source_v=208.0, phases=3, system="wye")
    assert found["electrical.stage.2.current"] == pytest.approx(9600 / (sqrt(3) * 208), rel=1e-6)


def test_a_drop_of_3_9_v_at_a_tenth_of_an_ohm() -> None:
    """12 ohm halves: 240 / 6.1 = 39.3 A through 0.1 ohm, 97 % of the heat."""
    loose = (replace(COPPER, loop_ohm=0.1), COPPER)
    found = truth("heat.2", branches=loose)
    assert 240 - found["electrical.stage.2.voltage"] == pytest.approx(3.93, abs=0.01)
    heat = found["electrical.stage.2.voltage"] * found["electrical.stage.2.current"]
    assert heat / 9600 == pytest.approx(0.967, abs=0.001)


@given(low=st.floats(0, 0.2), more=st.floats(0.001, 0.2))
@settings(max_examples=30, deadline=None)
def test_volts_fall_with_load_and_with_resistance(low: float, more: float) -> None:
    """One stage pulls less down than two, a stiff source less than a soft one; idle reads all of it."""
    soft = low + more
    one, two = (truth(f"heat.{n}", source_ohm=soft)[f"electrical.stage.{n}.voltage"] for n in (1, 2))
    stiff = truth("heat.2", source_ohm=low)["electrical.stage.2.voltage"]
    assert two < one < 240.0
    assert two < stiff
    assert truth("idle", source_ohm=soft)["electrical.line.l1_l2"] == 240.0


@pytest.mark.parametrize("altitude_m", sorted(PRESSURE))
@pytest.mark.parametrize(
    ("state", "use", "pane"), [("blower", "cooling", "blower"), ("heat.all", "heating", "heat")]
)
@pytest.mark.parametrize("exponent", [1.8, 1.94, 2.0])
def test_the_operating_point_lies_on_the_table_and_on_the_ducts(
    altitude_m: float, state: str, use: str, pane: str, exponent: float
) -> None:
    """Static of both sides is k Q^n, and what the table holds for that Q in this air (brentq)."""
    thin = PRESSURE[altitude_m] / 101325
    rows = next(
        s["rows"]
        for t in demo()["blower"]["tier"]
        if t["id"] == "mild"
        for s in t["speed"]
        if s["use"] == use
    )
    k = 0.45 * thin * INCH / (1100 * CFM) ** exponent
    found = truth(
        state,
        unit(demo()),
        altitude_m=altitude_m,
        exponent=exponent,
        fan_factor=1.01,
        supply_coefficient=0.6 * k,
        return_coefficient=0.4 * k,
    )
    flow = brentq(
        lambda q: k * (q * CFM) ** exponent - thin * INCH * static_at(rows, q / 1.01),
        rows[-1][1] * 1.01,
        rows[0][1] * 1.01,
        xtol=1e-9,
    )
    supply, back = found[f"{pane}.static.supply"], found[f"{pane}.static.return"]
    assert supply - back == pytest.approx(k * (flow * CFM) ** exponent, rel=2e-4)
    assert supply / -back == pytest.approx(1.5)


@pytest.mark.parametrize(("thick", "cfm"), [(0.01, 1320.0), (100.0, None)])
def test_ducts_beyond_the_table_hold_the_blower_at_its_end(thick: float, cfm: float | None) -> None:
    """Wide open it moves its most; choked, its highest static and what little that pushes through."""
    found = truth("blower", supply_coefficient=K_SUPPLY * thick, return_coefficient=K_RETURN * thick)
    total = found["blower.static.supply"] - found["blower.static.return"]
    if cfm:
        assert total == pytest.approx((K_SUPPLY + K_RETURN) * thick * (cfm * CFM) ** 2, rel=1e-5)
    else:
        assert total == pytest.approx(0.80 * INCH, rel=1e-5)


def test_a_kit_outside_the_taps_takes_its_drop_from_the_blower() -> None:
    """The table meets what the taps see and the kit's 0.04 in. w.c. together (brentq)."""
    data = reference_file()
    data["blower"]["includes"] = []
    found = truth("blower", unit(data))
    cfm = brentq(lambda q: 0.50 * (q / 1200) ** 2 + 0.04 - static_at(REFERENCE, q), 960, 1320, xtol=1e-9)
    total = found["blower.static.supply"] - found["blower.static.return"]
    assert total == pytest.approx(0.50 * INCH * (cfm / 1200) ** 2, rel=1e-5)


@pytest.mark.parametrize("settings", [stored(bank_use="none"), stored(bank_size="bare", bank_use="none")])
def test_heat_that_is_not_enabled_does_not_come_when_called(settings: dict[tuple[str, str], str]) -> None:
    """No current, no rise but the blower's own, no path proved."""
    found = truth("heat.2", settings=settings)
    assert found["electrical.stage.2.current"] == 0.0
    rise_f = (found["heat.stage.2.leaving_air"] - found["heat.stage.2.return_air"]) * 1.8
    assert rise_f == pytest.approx(400 * 3.412142 / (1.08 * 1200), rel=1e-3)
    assert truth("heat.all", settings=settings)["heat.path.normal"] is False


def test_the_first_stage_alone_gives_half() -> None:
    """20 A however many stages are called, and its path is proved."""
    held = stored(bank_use="one")
    for upto in (1, 2):
        assert truth(f"heat.{upto}", settings=held)[f"electrical.stage.{upto}.current"] == pytest.approx(20.0)
    assert truth("heat.all", settings=held)["heat.path.normal"] is True


@pytest.mark.parametrize("use", ["none", "one", "both"])
def test_nothing_heats_without_a_call(use: str) -> None:
    """Idle, every leg carries the standby current of the blower's circuit and no more."""
    found = truth("idle", unit(demo()), settings=stored(bank_use=use), standby_a=0.12)
    assert found["electrical.circuit.1.no_call.l1"] == found["electrical.circuit.1.no_call.l2"] == 0.12


def test_without_a_kit_there_is_nothing_to_call() -> None:
    """No field of heat reads anything."""
    bare: dict[str, Any] = {"kit": None, "branches": (), "element_factors": ()}
    assert truth("heat.1", **bare) == truth("heat.all", **bare) == {}
    assert "electrical.blower.current" in truth("blower", **bare)


def test_another_tier_moves_along_the_same_ducts() -> None:
    """Full against the ducts of Mild: more air, by the same k."""
    equipment = unit(demo())
    mild = truth("blower", equipment)
    full = truth("blower", equipment, settings=stored(air_letter="f"))
    assert full["blower.static.supply"] > mild["blower.static.supply"]
    assert full["electrical.blower.current"] > mild["electrical.blower.current"]
    assert full["blower.static.supply"] / full["blower.static.return"] == pytest.approx(-1.5)


def test_a_tiers_values_belong_to_its_orientation() -> None:
    """The letter c is Mild upflow and Hush hanging to the right."""
    for orientation, tier in (("upflow", "mild"), ("horizontal-right", "hush")):
        found = option_in_force(unit(demo()), "blower-tier", stored(), orientation, "cedar")
        assert found is not None
        assert found.id == tier


def test_the_control_voltage_follows_the_line_and_sags_when_called() -> None:
    """24 V at nominal; 26 of 40 VA called takes 65 % of a 6 % regulation."""
    sag: dict[str, Any] = {"control_regulation": 0.06, "source_v": 228.0}
    assert truth("idle", **sag)["electrical.control.idle"] == pytest.approx(22.8)
    loaded = truth("heat.all", **sag)["electrical.control.loaded"]
    assert loaded == pytest.approx(22.8 * (1 - 0.06 * 26 / 40))


def test_isolated_what_was_built_is_seen() -> None:
    """Device, conductor and the grounding path of every circuit."""
    found = truth("isolated", branches=(COPPER,))
    assert (found["electrical.ground.resistance"], found["electrical.circuit.1.device"]) == (0.1, 60.0)
    assert found["electrical.circuit.1.conductor"] == "6 AWG"
    assert "electrical.line.l1_l2" not in found


@pytest.mark.parametrize("state", ["", "after_600", "nothing"])
def test_a_state_that_it_does_not_know_reads_nothing(state: str) -> None:
    """Neither a number nor a trouble."""
    assert truth(state) == {}
