"""Every figure of the trade's table of faults, on its healthy reference, to the digits printed there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import groupby
from typing import Any

import pytest

from asleft.installation.behave import behave
from asleft.installation.faults import FAULTS, Fault, with_faults
from asleft.installation.memory import as_found, cycled, store
from asleft.installation.probes import taken_anew
from asleft.installation.unit import Probes
from installation.reference import INCH, REFERENCE, SETTINGS, reads, reference_unit

Reader = Callable[..., float]


def field(state: str, name: str, per: float = 1.0) -> Reader:
    """One field, in the unit printed."""
    return lambda *faults, **how: reads(state, *faults, **how)[name] / per


def volts(name: str) -> Reader:
    """A voltage with nothing called."""
    return field("idle", f"electrical.line.{name}")


def amps(*faults: Fault, **how: Any) -> float:
    """A line with both stages called."""
    return float(reads("heat.2", *faults, **how)["electrical.stage.2.current"])


def heat_kw(*faults: Fault, **how: Any) -> float:
    """Volts times amps at the unit's terminals."""
    return float(reads("heat.2", *faults, **how)["electrical.stage.2.voltage"]) * amps(*faults, **how) / 1000


def heat_percent(*faults: Fault, **how: Any) -> float:
    """Of what the reference gives."""
    return 100.0 * heat_kw(*faults, **how) / heat_kw()


def rise_f(*faults: Fault, **how: Any) -> float:
    """Leaving less return air."""
    read = reads("heat.2", *faults, **how)
    return float(read["heat.stage.2.leaving_air"] - read["heat.stage.2.return_air"]) * 1.8


def total(*faults: Fault, **how: Any) -> float:
    """External static, in. w.c."""
    read = reads("blower", *faults, **how)
    return float(read["blower.static.supply"] - read["blower.static.return"]) / INCH


def cfm(side: str) -> Reader:
    """Airflow by the static of a side whose ducts are as they were: 1200 cfm at 0.30 and 0.20 in. w.c."""

    def read(*faults: Fault, **how: Any) -> float:
        inches = abs(reads("blower", *faults, **how)[f"blower.static.{side}"]) / INCH
        return float(1200.0 * (inches / {"supply": 0.30, "return": 0.20}[side]) ** 0.5)

    return read


def lug_w(*faults: Fault, **how: Any) -> float:
    """Volts across the joint times the amps through it."""
    read = reads("heat.all", *faults, **how)
    return float(read["electrical.circuit.1.joint.l2"] * read["electrical.circuit.1.called.l2"])


def lower_v(*faults: Fault, **how: Any) -> float:
    """What the terminals lose with heat on."""
    return volts("l1_l2")(*faults, **how) - float(reads("heat.all", *faults)["electrical.loaded.l1_l2"])


def fahrenheit(state: str, name: str) -> Reader:
    """A temperature."""
    return lambda *faults, **how: reads(state, *faults, **how)[name] * 1.8 + 32.0


def cfm_by_rise(*faults: Fault, **how: Any) -> float:
    """3.412142 x 10 kW over 1.08 and the rise read."""
    return 3.412142 * 10000.0 / (1.08 * rise_f(*faults, **how))


LOADED = "heat.all"
WARM = replace(REFERENCE, outdoors=replace(REFERENCE.outdoors, air_c=(47 - 32) / 1.8))
OPEN, GROUND_OPEN = Fault("one-leg-open", where="1.l2"), Fault("ground-open")
NO_CALL = "electrical.circuit.1.no_call."
PSC, CAF, THREE = {"fan": "psc"}, {"fan": "caf"}, {"phases": 3}

TABLE: list[tuple[str, Fault | str, Reader, float, float, dict[str, Any]]] = [
    ("healthy: volts", "", volts("l1_l2"), 240, 0.5, {}),
    ("healthy: amps", "", amps, 40, 0.5, {}),
    ("healthy: amps of the blower", "", field("blower", "electrical.blower.current"), 2.5, 0.05, {}),
    ("healthy: supply side", "", field("blower", "blower.static.supply", INCH), 0.30, 0.005, {}),
    ("healthy: return side", "", field("blower", "blower.static.return", INCH), -0.20, 0.005, {}),
    ("healthy: rise", "", rise_f, 26.3, 0.05, {}),
    ("208 V line to line", "supply-low", volts("l1_l2"), 208, 0.5, {}),
    ("104 to ground, first leg", "supply-low", volts("l1_ground"), 104, 0.5, {}),
    ("104 to ground, second leg", "supply-low", volts("l2_ground"), 104, 0.5, {}),
    ("34.7 A", "supply-low", amps, 34.7, 0.05, {}),
    ("7.2 kW", "supply-low", heat_kw, 7.2, 0.05, {}),
    ("208", "kit-voltage-mismatch", volts("l1_l2"), 208, 0.5, {}),
    ("120 to ground, first leg", "kit-voltage-mismatch", volts("l1_ground"), 120, 0.5, {}),
    ("120 to ground, second leg", "kit-voltage-mismatch", volts("l2_ground"), 120, 0.5, {}),
    ("34.7 A", "kit-voltage-mismatch", amps, 34.7, 0.05, {}),
    ("7.2 kW", "kit-voltage-mismatch", heat_kw, 7.2, 0.05, {}),
    ("75 % of the heat", "kit-voltage-mismatch", heat_percent, 75, 0.5, {}),
    ("one leg near 208", "high-leg", volts("l2_ground"), 208, 0.5, {}),
    ("the other at 120", "high-leg", volts("l1_ground"), 120, 0.5, {}),
    ("line to line 0", "both-poles-one-phase", volts("l1_l2"), 0, 0.5, {}),
    ("each leg 120 to ground", "both-poles-one-phase", volts("l1_ground"), 120, 0.5, {}),
    ("and the other", "both-poles-one-phase", volts("l2_ground"), 120, 0.5, {}),
    ("0 A", "both-poles-one-phase", amps, 0, 0.005, {}),
    ("idle second leg 0", OPEN, volts("l2_ground"), 0, 0.5, {}),
    ("idle first leg as before", OPEN, volts("l1_ground"), 120, 0.5, {}),
    ("called 120 to ground", OPEN, field(LOADED, "electrical.loaded.l2_ground"), 120, 0.5, {}),
    ("called line to line 0", OPEN, field(LOADED, "electrical.loaded.l1_l2"), 0, 0.5, {}),
    ("0 A", OPEN, amps, 0, 0.005, {}),
    ("idle right", "loose-lug", volts("l1_l2"), 240, 0.5, {}),
    ("3.9 V lower", "loose-lug", lower_v, 3.9, 0.05, {}),
    ("155 W in the lug", "loose-lug", lug_w, 155, 0.5, {}),
    ("97 % heat", "loose-lug", heat_percent, 97, 0.5, {}),
    (
        "still live",
        "circuits-mislabelled",
        field("isolated", "electrical.circuit.1.locked.l1_l2"),
        240,
        0.5,
        {},
    ),
    ("20.8 V idle", "control-tap-wrong", field("idle", "electrical.control.idle"), 20.8, 0.05, {}),
    ("and loaded", "control-tap-wrong", field(LOADED, "electrical.control.loaded"), 20.8, 0.05, {}),
    ("normal idle", "control-overloaded", field("idle", "electrical.control.idle"), 24.0, 0.05, {}),
    ("one stage 0 A", Fault("element-open", where="2"), amps, 20, 0.5, {}),
    ("20 A without a call", "relay-welded", field("idle", NO_CALL + "l1"), 20, 0.5, {}),
    ("on both legs", "relay-welded", field("idle", NO_CALL + "l2"), 20, 0.5, {}),
    ("20 A on the unswitched leg", "element-grounded", field("idle", NO_CALL + "l1"), 20, 0.5, {}),
    ("alone", "element-grounded", field("idle", NO_CALL + "l2"), 0, 0.5, {}),
    ("6 ohm to frame", "element-grounded", field("isolated", "electrical.stage.1.to_frame"), 6, 0.5, {}),
    ("1146 cfm", "filter-loaded", cfm("supply"), 1146, 0.5, PSC),
    ("at 0.59", "filter-loaded", total, 0.59, 0.005, PSC),
    ("1197 cfm", "filter-loaded", cfm("supply"), 1197, 0.5, CAF),
    ("at 0.65", "filter-loaded", total, 0.65, 0.005, CAF),
    ("as filter-loaded", "return-restricted", cfm("supply"), 1146, 0.5, PSC),
    ("as filter-loaded", "return-restricted", total, 0.59, 0.005, PSC),
    ("997 cfm", "damper-closed", cfm("return"), 997, 0.5, PSC),
    ("at 0.79", "damper-closed", total, 0.79, 0.005, PSC),
    ("1163 cfm", "damper-closed", cfm("return"), 1163, 0.5, CAF),
    ("at 1.08", "damper-closed", total, 1.08, 0.005, CAF),
    ("supply negative", "hoses-swapped", field("blower", "blower.static.supply", INCH), -0.20, 0.005, {}),
    ("return positive", "hoses-swapped", field("blower", "blower.static.return", INCH), 0.30, 0.005, {}),
    ("0.35", "manometer-offset", field("blower", "blower.static.supply", INCH), 0.35, 0.005, {}),
    ("and -0.15", "manometer-offset", field("blower", "blower.static.return", INCH), -0.15, 0.005, {}),
    ("the total still 0.50", "manometer-offset", total, 0.50, 0.005, {}),
    ("an open port shows it", "manometer-offset", field("idle", "blower.open_port", INCH), 0.05, 0.005, {}),
    ("no current on call", "heat-not-enabled", amps, 0, 0.005, {}),
    ("reference 28", "outdoor-sensor-off", fahrenheit("idle", "heat.outdoor.reference"), 28, 0.5, {}),
    ("control 38", "outdoor-sensor-off", fahrenheit("idle", "heat.outdoor.shown"), 38, 0.5, {}),
    ("no auxiliary", "outdoor-sensor-off", field("ordinary", "heat.ordinary.auxiliary"), 0, 0.0, {}),
    ("healthy: leaving 98", "", fahrenheit("heat_pump", "heat.heat_pump.leaving_air"), 98, 0.5, {"at": WARM}),
    (
        "leaving air 42",
        "reversing-valve-setting-wrong",
        fahrenheit("heat_pump", "heat.heat_pump.leaving_air"),
        42,
        0.5,
        {"at": WARM},
    ),
    ("rise reads 40", "probe-sees-elements", rise_f, 40, 0.5, {}),
    ("790 cfm from rise", "probe-sees-elements", cfm_by_rise, 790, 5, {}),
    ("1200 by static", "probe-sees-elements", cfm("supply"), 1200, 5, {}),
]


@pytest.mark.parametrize(
    ("what", "fault", "read", "printed", "digits", "how"),
    TABLE,
    ids=[f"{f.kind if isinstance(f, Fault) else f or 'none'}: {what}" for what, f, *_ in TABLE],
)
def test_the_reference_reads_what_the_table_prints(
    what: str, fault: Fault | str, read: Reader, printed: float, digits: float, how: dict[str, Any]
) -> None:
    """Half of the last digit printed either way."""
    faults = [] if fault == "" else [fault if isinstance(fault, Fault) else Fault(fault)]
    assert read(*faults, **how) == pytest.approx(printed, abs=digits), what


OURS = {"lead-open", "meter-reads-low", "clamp-not-zeroed", "supply-probe-off"}
"""Faults of the instruments themselves, which the trade's table leaves out."""


def test_every_kind_of_the_table_is_here() -> None:
    """By the names that the trade's table gives them."""
    assert set(FAULTS) - OURS == {
        *("supply-low", "kit-voltage-mismatch", "phase-unbalance", "high-leg", "both-poles-one-phase"),
        *("one-leg-open", "loose-lug", "ground-open", "circuits-mislabelled", "device-too-small"),
        *("device-too-large", "conductor-too-small", "control-tap-wrong", "control-overloaded"),
        *("element-open", "kit-not-as-labelled", "relay-welded", "element-grounded", "limit-cycling"),
        *("filter-loaded", "return-restricted", "damper-closed", "hoses-swapped", "manometer-offset"),
        *("tier-too-low", "tier-too-high", "capacitor-weak", "orientation-setting-wrong"),
        *("heat-not-enabled", "heat-without-kit", "wrong-address", "code-not-stored"),
        *("stored-not-in-force", "sensor-source-wrong", "outdoor-sensor-off", "lockout-too-high"),
        *("lockout-gap", "reversing-valve-setting-wrong", "probe-sees-elements", "heater-starved"),
    }


# ---- what the table says in words


def test_uneven_phases_are_uneven_by_the_motor_makers_rule() -> None:
    """100 x largest distance from the mean / mean is 6; nothing else moves by more than half of that."""
    read = reads("idle", Fault("phase-unbalance"), phases=3, at=replace(REFERENCE, phases=3, system="wye"))
    pairs = [read[f"electrical.line.{pair}"] for pair in ("l1_l2", "l2_l3", "l3_l1")]
    mean = sum(pairs) / 3
    assert 100 * max(abs(v - mean) for v in pairs) / mean == pytest.approx(6.0)
    assert sorted(abs(v / mean - 1) for v in pairs) == pytest.approx([0.03, 0.03, 0.06])


def test_an_open_grounding_path_reads_as_open() -> None:
    """A million times what a hold allows."""
    assert reads("isolated", GROUND_OPEN)["electrical.ground.resistance"] > 1e6


def test_an_element_to_a_frame_without_ground_makes_the_frame_live_and_trips_nothing() -> None:
    """Nothing returns, so nothing flows."""
    found = reads("idle", Fault("element-grounded"), GROUND_OPEN)
    assert found[NO_CALL + "l1"] < 0.001


@pytest.mark.parametrize("kind", ["relay-welded", "element-grounded"])
def test_an_element_that_nobody_calls_warms_the_air_of_the_heat_pump(kind: str) -> None:
    """4.8 kW at 1200 cfm, or half of it less what the way to earth takes: dT = 3.412 W / (1.08 cfm)."""
    field = "heat.heat_pump.leaving_air"
    healthy, found = (reads("heat_pump", *faults, at=WARM)[field] for faults in ((), (Fault(kind),)))
    watts = 4800.0 if kind == "relay-welded" else 2400.0
    assert (found - healthy) * 1.8 == pytest.approx(3.412 * watts / (1.08 * 1200.0), rel=0.05)
    assert reads("heat_pump", at=WARM)["heat.heat_pump.return_air"] == pytest.approx(
        reads("heat_pump", Fault(kind), at=WARM)["heat.heat_pump.return_air"]
    )


def test_device_and_conductor_are_seen_to_be_wrong() -> None:
    """40 A of heat need 50 A, and 8 AWG is protected by 50 A at most: next sizes down and up (NEC 240.6)."""
    small, large = (
        [reads("isolated", Fault(kind, size))["electrical.circuit.1.device"] for size in (0.1, 0.5, 1.0)]
        for kind in ("device-too-small", "device-too-large")
    )
    assert small == [45.0, 40.0, 35.0]
    assert large == [60.0, 70.0, 80.0]
    thin = [
        reads("isolated", Fault("conductor-too-small", size))["electrical.circuit.1.conductor"]
        for size in (0.1, 0.5, 1.0)
    ]
    assert thin == ["10 AWG", "12 AWG", "14 AWG"]


def test_a_thinner_conductor_drops_more() -> None:
    """10 AWG has 1.24 / 0.778 of the resistance of 8 AWG (NEC chapter 9, table 8)."""
    wired = replace(REFERENCE, branches=(replace(REFERENCE.branches[0], loop_ohm=0.05),))
    fault = Fault("conductor-too-small", 0.1)
    found = with_faults(wired, reference_unit(), [fault]).branches[0].loop_ohm
    assert found == pytest.approx(0.05 * 1.24 / 0.778)


def test_an_overloaded_control_falls_below_its_range_when_called() -> None:
    """Below 21.6 V."""
    assert reads(LOADED, Fault("control-overloaded"))["electrical.control.loaded"] < 21.6


def test_an_open_element_reads_as_a_kit_of_half_the_size_but_for_its_ohms() -> None:
    """20 A and half the heat either way; 12 ohm and nothing against 24 and 24."""
    faults = Fault("element-open", where="2"), Fault("kit-not-as-labelled", where="five")
    assert amps(faults[0]) == pytest.approx(amps(faults[1]))
    assert rise_f(faults[0]) == pytest.approx(rise_f(faults[1]))
    assert rise_f(faults[0]) == pytest.approx(26.3 * (4800 + 400) / (9600 + 400), abs=0.05)
    ohms = [
        [reads("isolated", f)[f"electrical.stage.{n}.element.1.resistance"] for n in (1, 2)] for f in faults
    ]
    assert ohms[0][0] == pytest.approx(12.0)
    assert ohms[0][1] > 1e6
    assert ohms[1] == pytest.approx([24.0, 24.0])


def test_a_limit_that_opens_too_soon_saws_while_the_blower_is_steady() -> None:
    """40 A, 0, 40 A; the rise falls and climbs; statics stay."""
    faults = Fault("limit-cycling")
    series = [reads(f"after.{s}", faults) for s in range(10, 610, 10)]
    current = [next(v for k, v in read.items() if k.endswith("current")) for read in series]
    assert [round(a) for a, _ in groupby(current)][:3] == [40, 0, 40]
    warm = [next(v for k, v in read.items() if k.endswith("leaving_air")) for read in series]
    assert max(warm) - min(warm[10:]) > 2.0
    assert reads("heat.all", faults)["heat.static.supply"] == reads("heat.all")["heat.static.supply"]


def test_full_heat_is_steady_where_the_limit_is_as_made() -> None:
    """40 A in every one of ten minutes, and the rise comes to its own."""
    series = [reads(f"after.{60 * m}") for m in range(1, 11)]
    assert {round(read[f"heat.minute.{m}.current"], 6) for m, read in enumerate(series, 1)} == {40.0}
    last = series[-1]["heat.minute.10.leaving_air"] - reads("heat.2")["heat.stage.2.return_air"]
    assert last * 1.8 == pytest.approx(26.3, abs=0.1)


def test_a_loaded_filter_takes_power_from_one_blower_and_costs_another() -> None:
    """A capacitor motor draws less, a constant-airflow one more."""
    for fan, less in (("psc", True), ("caf", False)):
        before, after = (
            reads("blower", *f, fan=fan)["electrical.blower.current"] for f in ((), (Fault("filter-loaded"),))
        )
        assert (after < before) is less


@pytest.mark.parametrize("fan", ["psc", "caf"])
def test_only_the_drop_across_the_filter_tells_a_filter_from_a_return(fan: str) -> None:
    """Every other reading is the same; the restricted return leaves the filter's drop as airflow squared."""
    filtered, restricted = (
        reads("blower", Fault(kind), fan=fan) for kind in ("filter-loaded", "return-restricted")
    )
    assert {k for k in filtered if filtered[k] != pytest.approx(restricted[k])} == {"blower.static.filter"}
    clean = reads("blower", fan=fan)["blower.static.filter"]
    flow = cfm("supply")(Fault("return-restricted"), fan=fan) / 1200
    assert restricted["blower.static.filter"] == pytest.approx(clean * flow**2)
    assert filtered["blower.static.filter"] > 2 * clean


@pytest.mark.parametrize(("kind", "below"), [("tier-too-low", True), ("tier-too-high", False)])
def test_a_wrong_tier_lies_on_the_same_ducts(kind: str, below: bool) -> None:
    """Lower or higher, supply to return as 3 to 2."""
    read = reads("blower", Fault(kind, where="middle"))
    assert (total(Fault(kind, where="middle")) < 0.50) is below
    assert read["blower.static.supply"] / -read["blower.static.return"] == pytest.approx(1.5)


def test_a_weak_capacitor_reads_as_a_low_tier_whose_setting_is_right() -> None:
    """Lower on the same ducts, nothing changed in the control."""
    weak = Fault("capacitor-weak")
    unit = reference_unit("psc")
    there = with_faults(REFERENCE, unit, [weak])
    assert as_found(there, SETTINGS).stored == SETTINGS
    assert total(weak, fan="psc") < 0.45
    read = reads("blower", weak, fan="psc")
    assert read["blower.static.supply"] / -read["blower.static.return"] == pytest.approx(1.5)


def test_a_tier_by_the_values_of_another_orientation_is_another_tier() -> None:
    """Middle going down is 3, which is high going up: more air, and 3 is found where 2 is planned."""
    fault = Fault("orientation-setting-wrong", where="middle.down")
    there = with_faults(REFERENCE, reference_unit(), [fault])
    assert {as_found(there, SETTINGS).stored["air", at] for at in ("one", "two")} == {"3"}
    assert cfm("supply")(fault) > 1250


def test_heat_enabled_without_a_kit_is_a_call_with_nothing_there() -> None:
    """The control says both stages, and no field of heat reads anything."""
    fault = Fault("heat-without-kit")
    there = with_faults(REFERENCE, reference_unit(), [fault])
    assert as_found(there, SETTINGS).stored["heat-use", "one"] == "2"
    assert there.kit is None
    assert reads("heat.2", fault) == reads("heat.all", fault) == {}
    assert "heat.ordinary.auxiliary" not in reads("ordinary", fault)


@pytest.mark.parametrize(
    ("fault", "setting", "address", "value"),
    [
        (Fault("wrong-address", where="air@one"), "air", "one", "3"),
        (Fault("code-not-stored"), "wait", "one", "10"),
    ],
)
def test_what_is_read_back_differs(fault: Fault, setting: str, address: str, value: str) -> None:
    """The old value stands; a write that went elsewhere is found there."""
    unit = reference_unit()
    healthy = store(REFERENCE, unit, as_found(REFERENCE, SETTINGS), setting, address, value)
    assert healthy.stored[setting, address] == value
    there = with_faults(REFERENCE, unit, [fault])
    after = store(there, unit, as_found(there, SETTINGS), setting, address, value)
    assert after.stored[setting, address] == SETTINGS[setting, address]
    if fault.kind == "wrong-address":
        assert after.stored[setting, "two"] == value


def test_what_is_stored_and_not_in_force_acts_after_a_power_cycle() -> None:
    """Read back right; the blower draws what it drew until power was off and on."""
    unit, fault = reference_unit(), Fault("stored-not-in-force", where="air")
    there = with_faults(REFERENCE, unit, [fault])
    memory = as_found(there, SETTINGS)
    for address in ("one", "two"):
        memory = store(there, unit, memory, "air", address, "3")
    drawn = [
        behave(there, unit, settings, "blower")["electrical.blower.current"]
        for settings in (SETTINGS, memory.in_force, cycled(memory).in_force)
    ]
    assert memory.stored["air", "one"] == memory.stored["air", "two"] == "3"
    assert drawn[0] == drawn[1] < drawn[2]


def test_a_wrong_sensor_does_not_follow_the_room() -> None:
    """The control is found to listen elsewhere, 10 degF off the reference."""
    read = reads("idle", Fault("sensor-source-wrong", where="duct"))
    assert (read["heat.room.reference"] - read["heat.room.shown"]) * 1.8 == pytest.approx(10.0)
    assert reads("idle")["heat.room.shown"] == reads("idle")["heat.room.reference"]


def test_a_lockout_too_high_lets_auxiliary_heat_help_where_the_heat_pump_can_alone() -> None:
    """At 47 degF, 50 being left in the control."""
    assert reads("ordinary", at=WARM)["heat.ordinary.auxiliary"] is False
    assert reads("ordinary", Fault("lockout-too-high"), at=WARM)["heat.ordinary.auxiliary"] is True


def test_between_two_lockouts_there_is_no_heat() -> None:
    """Auxiliary heat up to 30 degF, the compressor from 40: at 35 neither, and the cut-out shows why."""
    between = replace(REFERENCE, outdoors=replace(REFERENCE.outdoors, air_c=(35 - 32) / 1.8))
    fault = Fault("lockout-gap", where="at-30")
    assert reads("ordinary", fault, at=between) == {
        "heat.ordinary.compressor": False,
        "heat.ordinary.auxiliary": False,
    }
    assert reads("ordinary", at=between)["heat.ordinary.compressor"] is True
    assert reads("idle", fault)["heat.outdoor.cut_out"] * 1.8 + 32 == pytest.approx(40.0)


def test_a_starved_heater_is_a_consequence() -> None:
    """It cannot be set up; ducts that choke the blower make it of themselves."""
    assert "cause" in FAULTS["heater-starved"].can_be(REFERENCE, reference_unit())
    limit = replace(REFERENCE, supply_coefficient=REFERENCE.supply_coefficient * 600)
    assert (
        len(
            {
                round(reads(f"after.{s}", at=limit)[f"heat.minute.{s / 60:g}.current"])
                for s in range(60, 660, 60)
            }
        )
        == 2
    )


def test_instruments_of_their_own_faults_show_the_truth_by_their_own_rule() -> None:
    """A broken lead nothing, a low meter a part, a clamp more by its zero, a probe warmer."""
    healthy, by = reads("heat.2"), "electrical.stage.2.voltage"
    for kind, size, field, right in (
        ("lead-open", 1.0, by, 0.0),
        ("meter-reads-low", 1.0, by, 0.92 * healthy[by]),
        ("clamp-not-zeroed", 0.5, "electrical.stage.2.current", healthy["electrical.stage.2.current"] + 0.75),
        ("supply-probe-off", 1.0, "heat.stage.2.leaving_air", healthy["heat.stage.2.leaving_air"] + 3.0),
    ):
        wrong = reads("heat.2", Fault(kind, size))
        assert wrong[field] == pytest.approx(right)
        assert {f for f in healthy if wrong[f] != healthy[f]} <= {field, by}
    assert reads("isolated", Fault("lead-open"))["electrical.ground.resistance"] == 1e7


def test_another_instrument_of_the_role_is_sound() -> None:
    """What was wrong with the one in hand is not wrong with the next; a probe's place stays where it is."""
    probes = Probes(True, 12.0, 0.5, True, 0.9, 1.5, 3.0)
    assert taken_anew(probes, "manometer") == replace(probes, hoses_swapped=False, zero_pa=0.0)
    assert taken_anew(probes, "meter") == replace(probes, lead_open=False, meter_factor=1.0)
    assert taken_anew(probes, "clamp") == replace(probes, clamp_zero_a=0.0)
    assert taken_anew(probes, "anemometer") == probes
