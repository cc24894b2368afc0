"""What the readings say of the installation: hand sums, and `uncertainties` for what is carried through."""

from __future__ import annotations

from typing import Any

import pytest
from uncertainties import ufloat

from asleft.equipment.model import Equipment
from asleft.installation.estimate import Estimate, estimate
from installation.units import (
    CFM,
    INCH,
    PER_LIMIT,
    Job,
    celsius,
    demo,
    reference_file,
    reference_unit,
    unit,
)

ALTITUDES_M = [0.0, 500.0, 1000.0, 4000.0]
PRESSURES_PA = [101325.0, 95461.0, 89875.0, 61640.0]
"""ASHRAE Fundamentals 2017, ch. 1, table 1, as the trade prints them, +-1 Pa."""


def job(equipment: Equipment | None = None, **more: Any) -> Job:
    """An identified visit to the healthy reference."""
    return Job(equipment or reference_unit(), **more).identified()


def of(told: Job) -> Estimate:
    """The estimate of a visit."""
    return estimate(told.ledger)


def static_limit(inches: float) -> float:
    """The limit of the manometer in use, Pa."""
    return (0.01 * inches + 0.002) * INCH


def test_the_healthy_reference_is_what_it_is() -> None:
    """240 V, 9.6 kW, 400 W, 1200 cfm at 0.50 in. w.c. of which 0.30 supply and 0.20 return."""
    told = job().statics(0.30, -0.20)
    told.read("electrical.line.l1_l2", 240.0)
    found = of(told)
    assert found.total_static_pa is not None
    assert found.airflow_m3s is not None
    assert found.duct_coefficient is not None
    assert found.heater_power_w is not None
    assert found.total_static_pa.value == pytest.approx(124.5445, rel=1e-6)
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM, rel=1e-6)
    assert (found.airflow_method, found.fan_power_w) == ("fan table", pytest.approx(400.0, rel=1e-6))
    assert found.duct_coefficient.value == pytest.approx(0.50 * INCH / (1200 * CFM) ** 2, rel=1e-6)
    assert found.heater_power_w.value == pytest.approx(9600.0)
    assert found.altitude_assumed


def test_a_rise_of_26_3_f_is_the_same_1200_cfm() -> None:
    """10 000 W x 3.412142 / (1.08 x 1200) = 26.33 degF, heater and blower together."""
    told = job().statics(0.30, -0.20)
    told.read("electrical.line.l1_l2", 240.0)
    told.rise(celsius(70), 10000 * 3.412142 / (1.08 * 1200) / 1.8)
    found = of(told)
    assert found.airflow_by_rise_m3s is not None
    assert found.airflow_by_rise_m3s.value == pytest.approx(1200 * CFM, rel=1e-4)
    assert found.airflow_method == "fan table"


def test_a_static_sum_by_one_manometer_adds_its_uncertainties() -> None:
    """Gain shared: U of the total is the sum, not the root of squares."""
    found = of(job().statics(0.30, -0.20))
    assert found.total_static_pa is not None
    by_hand = (static_limit(0.30) + static_limit(0.20)) * PER_LIMIT
    assert found.total_static_pa.expanded == pytest.approx(by_hand, rel=1e-5)


def test_airflow_carries_the_static_and_the_table() -> None:
    """Slope of the table times U of the static, and 4 % of the table's own (`uncertainties`)."""
    found = of(job().statics(0.30, -0.21))
    assert found.airflow_m3s is not None
    static = ufloat(0.51, (static_limit(0.30) + static_limit(0.21)) * PER_LIMIT / INCH / 2)
    flow = (1200 + (static - 0.50) * (960 - 1200) / 0.30) * ufloat(1, 0.02) * CFM
    assert found.airflow_m3s.value == pytest.approx(flow.n, rel=1e-5)
    assert found.airflow_m3s.expanded == pytest.approx(2 * flow.s, rel=1e-4)


def test_a_table_of_unstated_accuracy_counts_five_per_cent() -> None:
    """Where the maker does not say; without instruments nothing else is uncertain."""
    data = reference_file()
    del data["blower"]["table_accuracy"]
    found = of(job(unit(data), instruments=False).statics(0.30, -0.20))
    assert found.airflow_m3s is not None
    assert found.airflow_m3s.expanded == pytest.approx(0.05 * 1200 * CFM, rel=1e-5)


@pytest.mark.parametrize(("altitude_m", "pressure_pa"), [*zip(ALTITUDES_M, PRESSURES_PA, strict=True)])
def test_at_altitude_the_table_is_entered_with_the_static_of_sea_level(
    altitude_m: float, pressure_pa: float
) -> None:
    """Static x p0/p: 0.50 in. w.c. of sea-level air reads 0.50 p/p0 up there, and moves the same volume."""
    thin = pressure_pa / 101325.0
    told = job()
    told.enter("identity.altitude", altitude_m)
    found = of(told.statics(0.30 * thin, -0.20 * thin))
    assert found.airflow_m3s is not None
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM, rel=1e-4)
    assert found.fan_power_w == pytest.approx(400.0 * thin, rel=1e-4)
    assert not found.altitude_assumed


@pytest.mark.parametrize("held", ["mass flow", "torque"])
def test_only_a_motor_that_holds_mass_flow_moves_more_volume_of_thin_air(held: str) -> None:
    """Actual = table x p0/p for it alone."""
    data = reference_file()
    data["blower"]["holds"] = held
    told = job(unit(data))
    told.enter("identity.altitude", 1000.0)
    thin = 89875.0 / 101325.0
    found = of(told.statics(0.30 * thin, -0.20 * thin))
    assert found.airflow_m3s is not None
    more = 1 / thin if held == "mass flow" else 1.0
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM * more, rel=1e-4)


def test_a_table_of_actual_air_is_entered_as_measured() -> None:
    """It already is of the air at hand."""
    data = reference_file()
    data["blower"]["basis"] = "actual"
    told = job(unit(data))
    told.enter("identity.altitude", 1000.0)
    found = of(told.statics(0.30, -0.20))
    assert found.airflow_m3s is not None
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM, rel=1e-5)


def test_thin_air_rises_more_for_the_same_heat() -> None:
    """At 1000 m the same watts in the same volume give 26.33 / 0.887 degF; the airflow comes out the same."""
    thin = 89875.0 / 101325.0
    told = job()
    told.enter("identity.altitude", 1000.0)
    told.read("electrical.line.l1_l2", 240.0)
    told.rise(20.0, 9600 * 3.412142 / (1.08 * 1200 * thin) / 1.8)
    found = of(told)
    assert found.airflow_m3s is not None
    assert found.airflow_method == "rise"
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM, rel=1e-4)


def test_a_kit_that_the_table_leaves_out_adds_its_drop() -> None:
    """0.26 and 0.20 measured and a kit of 0.04 outside the taps: the table is entered with 0.50."""
    data = reference_file()
    data["blower"]["includes"] = ["filter"]
    found = of(job(unit(data)).statics(0.26, -0.20))
    assert found.airflow_m3s is not None
    assert found.total_static_pa is not None
    assert found.airflow_m3s.value == pytest.approx(1200 * CFM, rel=1e-5)
    assert found.total_static_pa.value == pytest.approx(0.46 * INCH, rel=1e-5)


@pytest.mark.parametrize("statics", [(0.05, -0.05), (0.70, -0.60)])
def test_outside_the_table_airflow_is_by_rise(statics: tuple[float, float]) -> None:
    """Never carried on beyond its rows; the rise of every stage stands in."""
    told = job().statics(*statics)
    assert of(told).airflow_m3s is None
    told.read("electrical.line.l1_l2", 240.0)
    told.rise(20.0, 9600 * 3.412142 / (1.08 * 1200) / 1.8)
    found = of(told)
    assert found.airflow_m3s is not None
    assert (found.airflow_method, found.airflow_m3s.value) == (
        "rise",
        pytest.approx(1200 * CFM, rel=1e-4),
    )


def test_airflow_by_rise_carries_volts_and_both_probes() -> None:
    """P goes as V squared; two thermometers are independent (`uncertainties`)."""
    told = job()
    told.read("electrical.line.l1_l2", 236.0)
    told.rise(20.0, 14.0)
    found = of(told).airflow_by_rise_m3s
    assert found is not None
    volts = ufloat(236.0, 0.5 * (0.005 * 236.0 + 0.2) * PER_LIMIT)
    back, leaving = (ufloat(c, 0.5 * 0.5 * PER_LIMIT) for c in (20.0, 34.0))
    flow = 9600 * (volts / 240) ** 2 * 3.412142 / (1.08 * (leaving - back) * 1.8) * CFM
    assert found.value == pytest.approx(flow.n, rel=1e-4)
    assert found.expanded == pytest.approx(2 * flow.s, rel=1e-4)


def test_source_resistance_is_the_drop_over_the_amps() -> None:
    """240 V idle, 236 V with 40 A: 0.1 ohm (`uncertainties`, the three readings independent)."""
    told = job()
    told.read("electrical.line.l1_l2", 240.0)
    told.read("electrical.loaded.l1_l2", 236.0)
    assert of(told).source_resistance_ohm is None
    told.read("electrical.circuit.1.called.l1", 40.0)
    found = of(told).source_resistance_ohm
    assert found is not None
    idle = ufloat(240.0, (0.005 * 240 + 0.2) * PER_LIMIT / 2)
    loaded = ufloat(236.0, (0.005 * 236 + 0.2) * PER_LIMIT / 2)
    amps = ufloat(40.0, (0.005 * 40 + 0.01) * PER_LIMIT / 2)
    ohm = (idle - loaded) / amps
    assert found.value == pytest.approx(0.1)
    assert found.expanded == pytest.approx(2 * ohm.s, rel=1e-4)


def test_the_amps_of_every_circuit_flow_in_the_source() -> None:
    """Two circuits of 35 and 30 A and 6.5 V: 0.1 ohm."""
    told = Job(reference_unit()).identified(kit="elm")
    told.read("electrical.line.l1_l2", 240.0)
    told.read("electrical.loaded.l1_l2", 233.5)
    for circuit, amps in ((1, 35.0), (2, 30.0)):
        told.read(f"electrical.circuit.{circuit}.called.l1", amps)
    found = of(told).source_resistance_ohm
    assert found is not None
    assert found.value == pytest.approx(0.1)


@pytest.mark.parametrize(("volts", "watts"), [(240.0, 9600.0), (208.0, 7210.7)])
def test_heat_goes_as_the_square_of_the_volts(volts: float, watts: float) -> None:
    """9.6 kW at 240 V is 7.2 kW at 208 V."""
    told = job()
    told.read("electrical.line.l1_l2", volts)
    found = of(told).heater_power_w
    assert found is not None
    assert found.value == pytest.approx(watts, abs=0.05)


def test_volts_with_heat_on_outweigh_volts_without() -> None:
    """The heat is what the kit gives while it heats; with no volts at all, the nominal ones."""
    told = job()
    nominal = of(told).heater_power_w
    assert nominal is not None
    assert nominal.value == pytest.approx(9600.0)
    told.read("electrical.loaded.l1_l2", 228.0)
    told.read("electrical.line.l1_l2", 240.0)
    loaded = of(told).heater_power_w
    assert loaded is not None
    assert loaded.value == pytest.approx(9600 * 0.95**2)


def test_heat_is_by_rating_until_volts_and_amps_were_read_together() -> None:
    """38 A at 236 V is 8.97 kW, at 234 V 8.82 kW, whatever the label says (`uncertainties`)."""
    told = job()
    told.read("electrical.loaded.l1_l2", 234.0)
    told.read("electrical.stage.2.voltage", 236.0)
    rated = of(told)
    assert rated.heater_power_w is not None
    assert rated.heater_power_w.value == pytest.approx(9600 * (234 / 240) ** 2)
    assert "electrical.stage.2.voltage" not in rated.rests["heat"]
    told.read("electrical.stage.2.current", 38.0)
    found = of(told)
    heat = found.heater_power_w
    volts = ufloat(236.0, (0.005 * 236 + 0.2) * PER_LIMIT / 2)
    loaded = ufloat(234.0, (0.005 * 234 + 0.2) * PER_LIMIT / 2)
    amps = ufloat(38.0, (0.005 * 38 + 0.01) * PER_LIMIT / 2)
    watts = amps * loaded**2 / volts
    assert heat is not None
    assert heat.value == pytest.approx(watts.n)
    assert heat.expanded == pytest.approx(2 * watts.s, rel=1e-4)
    assert {"electrical.stage.2.voltage", "electrical.stage.2.current"} <= set(found.rests["heat"])
    first = found.heat_to_stage_w[0]
    assert first.value == pytest.approx(4800 * (234 / 240) ** 2), "stage 1 alone was not read"


def test_the_heat_of_two_circuits_is_the_sum_of_both() -> None:
    """One circuit by its amps and the other by rating would be two bases: all by amps, or none."""
    told = Job(reference_unit()).identified(kit="elm")
    told.read("electrical.loaded.l1_l2", 240.0)
    told.read("electrical.stage.2.voltage", 240.0)
    told.read("electrical.stage.2.current", 30.0)
    rated = of(told).heater_power_w
    assert rated is not None
    assert rated.value == pytest.approx(14400.0)
    told.read("electrical.stage.1.voltage", 240.0)
    told.read("electrical.stage.1.current", 29.0)
    heat = of(told).heater_power_w
    assert heat is not None
    assert heat.value == pytest.approx(240.0 * 59.0)


def test_of_two_methods_the_surer_one_is_taken() -> None:
    """A table good to 20 % gives way to the rise; good to 4 % it goes before it."""
    for accuracy, method in ((0.20, "rise"), (0.04, "fan table")):
        data = reference_file()
        data["blower"]["table_accuracy"] = accuracy
        told = job(unit(data)).statics(0.30, -0.20).statics(0.30, -0.20, pane="heat")
        told.read("electrical.line.l1_l2", 240.0)
        told.rise(20.0, 14.0)
        found = of(told)
        assert (found.airflow_method, found.heating_airflow_method) == (method, method)
        assert found.heating_by_table_m3s is not None


def test_a_rise_taken_in_heating_is_carried_to_cooling_along_the_ducts() -> None:
    """Twice the static is 1.414 times the airflow where the speeds differ."""
    told = Job(unit(demo())).identified().statics(0.02, -0.02).statics(0.01, -0.01, pane="heat")
    told.read("electrical.line.l1_l2", 240.0)
    told.rise(20.0, 14.0)
    found = of(told)
    assert found.heating_airflow_m3s is not None
    assert found.airflow_m3s is not None
    assert found.airflow_m3s.value == pytest.approx(found.heating_airflow_m3s.value * 2**0.5)


def test_readings_that_a_write_made_stale_are_not_used() -> None:
    """The tier was written after the statics were read; taken again, they count again."""
    told = job().statics(0.30, -0.20)
    assert of(told).airflow_m3s is not None
    told.event("wrote", setting="air-letter", address="unit", shown="a")
    assert (of(told).airflow_m3s, of(told).total_static_pa) == (None, None)
    told.read("blower.static.supply", 0.30 * INCH)
    assert of(told).total_static_pa is None
    told.read("blower.static.return", -0.20 * INCH)
    assert of(told).airflow_m3s is not None


def test_the_tier_in_force_names_the_table() -> None:
    """The same static under another tier is another airflow: 0.50 in. w.c. in Hush, then in Full."""
    for step, cfm in (("a", 1022.17), ("f", 1411.17)):
        told = Job(unit(demo())).identified()
        told.event("wrote", setting="air-letter", address="unit", shown=step)
        found = of(told.statics(0.30, -0.20)).airflow_m3s
        assert found is not None
        assert found.value == pytest.approx(cfm * CFM, rel=1e-5)


def test_settings_that_are_no_tier_name_no_table() -> None:
    """Then airflow is not known by static."""
    told = Job(unit(demo())).identified()
    told.event("wrote", setting="air-letter", address="unit", shown="b")
    assert of(told.statics(0.30, -0.20)).airflow_m3s is None


def test_a_house_loses_its_design_load_over_its_design_difference() -> None:
    """40 000 Btu/h between 5 and 65 degF is 351.7 W/K; 2000 ft2 of medium construction hold 30.7 MJ/K."""
    found = of(job().house())
    assert found.heat_loss_coefficient_wk == pytest.approx(351.7, abs=0.1)
    assert found.thermal_capacity_jk == pytest.approx(30.7e6, rel=2e-3)


def test_return_air_is_70_f_until_it_is_measured() -> None:
    """Common practice, then the probe."""
    told = job()
    assert of(told).return_air_c.value == pytest.approx(celsius(70))
    told.rise(19.0, 10.0)
    assert of(told).return_air_c == (19.0, pytest.approx(0.5 * PER_LIMIT))
