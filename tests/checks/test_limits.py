"""Readings close to a limit: the guard band is the expanded uncertainty, on both sides of every limit."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import pytest

from checks.visits import (
    BLOWER,
    BLOWER_AS_FOUND,
    CLOSING,
    HEAT,
    IDLE,
    ISOLATED,
    Change,
    all_of,
    found,
    happens,
    judged,
    say,
    use,
    visit,
    with_kit,
    with_part,
)
from support import Told

PER_LIMIT = 2.0 / sqrt(3.0)
"""U = 2 a / root 3: a rectangular limit a, coverage k = 2 (JCGM 100, 4.3.7)."""

NEAR = (
    ("inside by more than U", 1.02, "pass"),
    ("inside by less than U", 0.98, "conditional pass"),
    ("exactly on it", 0.0, "conditional pass"),
    ("outside by less than U", -0.98, "conditional fail"),
    ("outside by more than U", -1.02, "fail"),
)


@dataclass(frozen=True)
class Limit:
    """One reading against one limit; a reading's own limit of error is `part` of it and `fixed`."""

    key: str
    field: str
    unit: str
    limit: float
    part: float
    fixed: float
    upper: bool = True

    def reading(self, inside: float) -> str:
        """What lies inside the limit by this many U, solved for the reading."""
        part, fixed = self.part * PER_LIMIT * inside, self.fixed * PER_LIMIT * inside
        value = (self.limit - fixed) / (1 + part) if self.upper else (self.limit + fixed) / (1 - part)
        return f"{value:.9f} {self.unit}"


def meter(key: str, field: str, limit: float, *, upper: bool) -> Limit:
    """Volts by the visit's meter: 0.5 % and two counts of 0.1 V."""
    return Limit(key, field, "V", limit, 0.005, 0.2, upper)


LINE, LOADED = "electrical.line.l1_l2", "electrical.loaded.l1_l2"
IDLE_24, LOADED_24 = "electrical.control.idle", "electrical.control.loaded"
NO_CALL, BOTH = "electrical.circuit.1.no_call.l1", "electrical.circuit.1.called.both"
LIMITS = (
    meter("EL-2 unit", LINE, 216.0, upper=False),
    meter("EL-2 unit", LINE, 253.0, upper=True),
    meter("EL-6 unit.idle", IDLE_24, 21.6, upper=False),
    meter("EL-6 unit.idle", IDLE_24, 28.0, upper=True),
    meter("EL-6 unit.loaded", LOADED_24, 21.6, upper=False),
    meter("EL-6 unit.loaded", LOADED_24, 28.0, upper=True),
    meter("EL-14 unit", LOADED, 216.0, upper=False),
    meter("EL-14 unit", LOADED, 253.0, upper=True),
    Limit("EL-13 unit", "electrical.ground.resistance", "ohm", 0.5, 0.01, 0.02),
    Limit("EL-22 circuit.1", NO_CALL, "A", 1.5, 0.005, 0.01),
    # 5 % of a leg of (43.0 + 42.9) / 2 A.
    Limit("EL-22 circuit.1", BOTH, "A", 0.05 * 42.95, 0.005, 0.01),
)


@pytest.mark.parametrize(("how", "inside", "verdict"), NEAR, ids=[n[0] for n in NEAR])
@pytest.mark.parametrize("limit", LIMITS, ids=lambda x: f"{x.key} at {x.limit:g} {x.unit}")
def test_a_reading_near_its_limit(limit: Limit, how: str, inside: float, verdict: str) -> None:
    """Pass only by more than U, fail only by more than U."""
    finding = found(say(limit.field, limit.reading(inside)))[limit.key]
    assert finding.verdict == verdict, how
    assert finding.margin is not None
    assert finding.uncertainty is not None
    assert finding.margin == pytest.approx(inside * finding.uncertainty, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("how", "inside", "verdict"), NEAR, ids=[n[0] for n in NEAR])
def test_a_total_static_near_its_limit(how: str, inside: float, verdict: str) -> None:
    """Firm takes 0.90 in. w.c.; each side is good for 1 % and 0.002, and both errors go the same way."""
    side = Limit("BL-5 tier.firm.measured", "", "inH2O", 0.45, 0.01, 0.002).reading(inside)
    change = (say("blower.static.supply", side), say("blower.static.return", f"-{side}"))
    assert found(*change)["BL-5 tier.firm.measured"].verdict == verdict, how


@pytest.mark.parametrize(("how", "inside", "verdict"), NEAR, ids=[n[0] for n in NEAR])
def test_leaving_air_near_its_limit(how: str, inside: float, verdict: str) -> None:
    """Without a heat pump what is read is what counts: 0.5 degC, U 0.577 K, limit 150 degF."""
    fahrenheit = 150.0 - inside * 0.5 * PER_LIMIT * 1.8
    change = (say("identity.outdoor", "none"), say("heat.stage.2.leaving_air", f"{fahrenheit:.9f} degF"))
    assert found(*change)["HS-5 stage.2.measured"].verdict == verdict, how


@pytest.mark.parametrize(("how", "inside", "verdict"), NEAR, ids=[n[0] for n in NEAR])
@pytest.mark.parametrize("subject", ["unit.measured", "unit.predicted"])
def test_least_airflow_near_its_limit(subject: str, how: str, inside: float, verdict: str) -> None:
    """Whatever U the airflow has, it is the guard band; the maker's figure has none."""
    key = f"BL-11 {subject}"
    sound = found()[key]
    assert sound.value is not None
    assert sound.uncertainty is not None
    least = sound.value - inside * sound.uncertainty
    assert found(equipment=with_kit(least_airflow_in={"upflow": least}))[key].verdict == verdict, how


@pytest.mark.parametrize(("how", "inside", "verdict"), NEAR, ids=[n[0] for n in NEAR])
@pytest.mark.parametrize("key", ["BL-7 unit", "BL-9 unit"])
def test_airflow_near_fifteen_per_cent_of_design(key: str, how: str, inside: float, verdict: str) -> None:
    """Least allowed is 0.85 of the design airflow."""
    sound = found()[key]
    assert sound.value is not None
    assert sound.uncertainty is not None
    design = (sound.value - inside * sound.uncertainty) / 0.85
    assert found(say("blower.design_airflow", f"{design:.12f} m3/s"))[key].verdict == verdict, how


@pytest.mark.parametrize(
    ("ohms", "verdict", "severity"),
    [
        ("0.45 ohm", "pass", "hold"),
        ("0.50 ohm", "conditional pass", "hold"),
        ("0.51 ohm", "conditional fail", "advise"),
        ("0.95 ohm", "fail", "advise"),
        ("1.00 ohm", "fail", "advise"),
        ("1.02 ohm", "conditional fail", "hold"),
        ("1.05 ohm", "fail", "hold"),
    ],
)
def test_a_grounding_path_is_told_above_half_an_ohm_and_held_above_one(
    ohms: str, verdict: str, severity: str
) -> None:
    """At 1 ohm U is 2 x 0.03 / root 3 = 0.035 ohm."""
    finding = found(say("electrical.ground.resistance", ohms))["EL-13 unit"]
    assert (finding.verdict, finding.severity) == (verdict, severity)


@pytest.mark.parametrize(
    ("part", "verdict"),
    [(1.02, "pass"), (1.01, "conditional pass"), (0.99, "conditional fail"), (0.98, "fail")],
)
def test_eighty_five_per_cent_of_the_load_is_enough(part: float, verdict: str) -> None:
    """39.7 A at 238 V are 9.608 kW at 240 V; U of the volts is 1.617 V, 0.67 %, of the power twice it."""
    load = say("heat.design_load", f"{9.608 / (0.85 * part):.9f} kW")
    warm = happens("chose", topic="lost-line", option="warm")
    assert found(say(LOADED, "240 V"), load, warm)["HS-4 unit"].verdict == verdict


@pytest.mark.parametrize(
    ("cfm", "verdict"),
    [("1049.9", "fail"), ("1050", "pass"), ("1350", "pass"), ("1350.1", "fail")],
)
def test_three_tons_take_1050_to_1350_cfm(cfm: str, verdict: str) -> None:
    """350 and 450 cfm for each of three tons."""
    assert found(say("blower.design_airflow", f"{cfm} cfm"))["BL-2 unit"].verdict == verdict


@pytest.mark.parametrize(
    ("amps", "verdict", "severity"),
    [
        ("54.3 A", "fail", "correct"),
        ("54.4 A", "pass", "hold"),
        ("60 A", "pass", "hold"),
        ("60.1 A", "fail", "hold"),
    ],
)
def test_a_device_exactly_at_its_marks_is_right(amps: str, verdict: str, severity: str) -> None:
    """The plate says 54.4 A to 60 A; neither mark has an uncertainty."""
    finding = found(say("electrical.circuit.1.device", amps))["EL-8 circuit.1"]
    assert (finding.verdict, finding.severity) == (verdict, severity)


@pytest.mark.parametrize(("static", "verdict"), [("-0.0045", "pass"), ("-0.0048", "fail"), ("0", "pass")])
def test_a_supply_side_within_its_uncertainty_of_the_room_has_no_wrong_sign(
    static: str, verdict: str
) -> None:
    """A manometer good for 2 % and 0.004: a 0.00409, U 0.0047 in. w.c. at such a reading."""
    coarse = use("manometer", "coarse", ("static_pressure 2 % + 1 x 0.004 inH2O",))
    change = (say("blower.static.supply", f"{static} inH2O"), say("blower.static.return", "-0.24 inH2O"))
    assert found(coarse, *change)["BL-4 unit"].verdict == verdict


# ---- the same reading, however it was typed and whoever took it

ROLES = ("meter", "clamp", "manometer", "thermometer")


def taken_again(role: str) -> Change:
    """Every reading of one kind of instrument once more, as it was."""

    def told(job: Told) -> None:
        readings = {**ISOLATED, **IDLE, **BLOWER, **HEAT}
        fields = visit().ledger.fields
        all_of({f: v for f, v in readings.items() if f in fields and fields[f].instrument == role})(job)

    return told


RESTS_ON_ROLE = {
    "meter": (
        "EL-2 unit",
        "EL-4 leg.l1",
        "EL-4 leg.l2",
        "EL-6 unit.idle",
        "EL-6 unit.loaded",
        "EL-13 unit",
        "EL-14 unit",
        "EL-15 stage.1",
        "EL-15 stage.2",
        "HS-3 unit",
        "HS-5 unit.predicted",
        "HS-6 unit",
    ),
    "clamp": ("EL-15 stage.1", "EL-15 stage.2", "EL-22 circuit.1"),
    "manometer": (
        "BL-4 unit",
        "BL-5 tier.firm.measured",
        "BL-7 unit",
        "BL-8 unit",
        "BL-9 unit",
        "BL-11 unit.predicted",
        "BL-11 unit.measured",
        "BL-15 unit",
        "HS-5 unit.predicted",
        "HS-5 stage.1.measured",
        "HS-5 stage.2.measured",
        "HS-6 unit",
    ),
    "thermometer": ("HS-5 unit.predicted", "HS-5 stage.1.measured", "HS-5 stage.2.measured", "HS-6 unit"),
}


@pytest.mark.parametrize("role", ROLES)
def test_nothing_that_an_instrument_of_unknown_accuracy_read_passes_outright(role: str) -> None:
    """A conditional pass at best, in every check that rests on such a reading."""
    job = visit(use(role, "bare", ()), taken_again(role))
    findings = judged(job)
    bare = {e.n for entries in job.state.entries.values() for e in entries if e.instrument == "bare"}
    outright = [f.key for f in findings.values() if f.verdict == "pass" and bare & set(f.rests_on)]
    assert outright == []
    for key in RESTS_ON_ROLE[role]:
        assert findings[key].verdict == "conditional pass", key


@pytest.mark.parametrize("role", ROLES)
def test_what_an_instrument_of_unknown_accuracy_finds_far_outside_fails_all_the_same(role: str) -> None:
    """Not to know how well it reads is no excuse."""
    far = {
        "meter": ("EL-2 unit", say(LINE, "300 V")),
        "clamp": ("EL-22 circuit.1", say(NO_CALL, "20 A")),
        "manometer": ("BL-5 tier.firm.measured", say("blower.static.supply", "0.8 inH2O")),
        "thermometer": ("HS-5 stage.2.measured", say("heat.stage.2.leaving_air", "180 degF")),
    }
    key, reading = far[role]
    assert found(use(role, "bare", ()), reading)[key].verdict == "fail"


PA = 249.08891
OTHERWISE = {
    "heat.design_load": f"{40000 / 3412.141633:.12f} kW",
    "heat.design_temperature": "-15 degC",
    "identity.outdoor_capacity": f"{36 / 3.412141633:.12f} kW",
    "identity.altitude": "91.44 m",
    "blower.design_airflow": f"{1200 * 0.4719474432:.12f} L/s",
    "delay.floor_area": f"{2000 * 0.09290304:.12f} m2",
    "blower.static.supply": f"{0.36 * PA:.12f} Pa",
    "blower.static.return": f"{-0.24 * PA:.12f} Pa",
    "heat.static.supply": f"{0.37 * PA:.12f} Pa",
    "heat.static.return": f"{-0.245 * PA:.12f} Pa",
    "heat.stage.1.return_air": f"{38 / 1.8:.12f} degC",
    "heat.stage.1.leaving_air": f"{51.6 / 1.8:.12f} degC",
    "heat.stage.2.return_air": f"{38 / 1.8:.12f} degC",
    "heat.stage.2.leaving_air": f"{64 / 1.8:.12f} degC",
    "electrical.circuit.1.ambient": "30 degC",
}


def test_what_is_typed_in_si_units_gives_the_same_findings() -> None:
    """Verdict, figures and words: units are a matter of typing alone."""
    # The circuit was looked at again, so hands were inside.
    clear = happens("acknowledged", id="EL-19")
    as_typed, otherwise = found(), found(all_of(OTHERWISE), clear, all_of(CLOSING))
    assert list(otherwise) == list(as_typed)
    for key, f in otherwise.items():
        g = as_typed[key]
        assert (f.verdict, f.severity, f.needs, f.text) == (g.verdict, g.severity, g.needs, g.text), key
        for name in ("value", "uncertainty", "lower", "upper", "margin", "probability"):
            one, other = getattr(f, name), getattr(g, name)
            assert (one is None) == (other is None), (key, name)
            if one is not None:
                assert one == pytest.approx(other, rel=1e-5, abs=1e-7), (key, name)


def test_repeats_are_averaged_and_their_scatter_counts() -> None:
    """238.1, 238.4, 238.2 V: mean 238.233, s of the mean 0.0882 V; meter a 1.391 V, u 0.803 V: U 1.616 V."""
    finding = found(say(LINE, "238.1; 238.4; 238.2 V"))["EL-2 unit"]
    mean = (238.1 + 238.4 + 238.2) / 3
    scatter = sqrt(sum((v - mean) ** 2 for v in (238.1, 238.4, 238.2)) / 2 / 3)
    standard = (0.005 * mean + 0.2) / sqrt(3.0)
    assert finding.value == pytest.approx(mean)
    assert finding.uncertainty == pytest.approx(2 * sqrt(standard**2 + scatter**2), rel=1e-9)


def test_a_spread_typed_with_a_job_datum_is_a_limit() -> None:
    """34 400 ± 300 Btu/h: u = 300 / root 3, U = 346 Btu/h; 34 500 is the least allowed."""
    finding = found(say("identity.outdoor_capacity", "34400 ± 300 Btu/h"))["ID-8 unit"]
    assert finding.uncertainty == pytest.approx(300 * PER_LIMIT / 3.412141633, rel=1e-6)
    assert finding.verdict == "conditional fail"
    assert (
        found(say("identity.outdoor_capacity", "34600 ± 300 Btu/h"))["ID-8 unit"].verdict
        == "conditional pass"
    )


def test_as_found_readings_are_not_those_as_left() -> None:
    """Statics older than the tier's write count for nothing."""
    assert BLOWER_AS_FOUND["blower.static.supply"] != BLOWER["blower.static.supply"]
    value = found()["BL-5 tier.firm.measured"].value
    assert value == pytest.approx(0.60 * PA, rel=1e-6)


def test_a_rise_range_that_is_open_on_one_side_binds_the_other() -> None:
    """A maker may give a highest rise alone."""
    free = with_part("limits", lowest_rise=None, highest_rise=30 / 1.8)
    assert found(equipment=free)["HS-6 unit"].verdict == "pass"
    tight = with_part("limits", lowest_rise=None, highest_rise=20 / 1.8)
    assert found(equipment=tight)["HS-6 unit"].verdict == "fail"
