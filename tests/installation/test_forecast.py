"""What every option on offer would do, and which is recommended: hand sums, and roots by scipy."""

from __future__ import annotations

from itertools import pairwise
from math import exp
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from asleft.equipment.model import Equipment
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.installation.outlook import Forecast, TopicOutlook
from installation.units import (
    BTU_H,
    CFM,
    FT2,
    INCH,
    Job,
    celsius,
    demo,
    reference_file,
    speed,
    unit,
)

TIERS = ("hush", "mild", "firm", "full")


def through(cfm: float, watts: float) -> list[list[float]]:
    """A fan table with a row on the ducts that take 0.50 in. w.c. at 1200 cfm."""
    inches = 0.5 * (cfm / 1200) ** 2
    return [[inches - 0.1, cfm + 60, watts], [inches, cfm, watts], [inches + 0.1, cfm - 60, watts]]


def tiers(*moved: tuple[float, float], data: dict[str, Any] | None = None) -> dict[str, Any]:
    """A file whose tiers each move so many cfm for so many watts against those ducts; Mild is in force."""
    data = data or reference_file()
    for tier, (cfm, watts) in zip(data["blower"]["tier"], moved, strict=True):
        tier["speed"] = [speed(use, through(cfm, watts)) for use in ("cooling", "heating")]
        tier["highest_static"] = "1.00 inH2O"
    data["blower"]["highest_static"] = "1.00 inH2O"
    return data


def of(told: Job) -> Forecast:
    """The forecast of a visit."""
    ledger = told.ledger
    return forecast(ledger, estimate(ledger))


def role(told: Job, name: str) -> TopicOutlook:
    """The outlook of one role."""
    found = of(told).role(name)
    assert found is not None
    return found


def tier(equipment: Equipment, design_cfm: float, mild: float = 1200.0, **more: Any) -> TopicOutlook:
    """The tier recommended against the reference ducts; nothing but the tables is uncertain."""
    told = Job(equipment, instruments=False).identified(**more)
    told.enter("blower.design_airflow", design_cfm * CFM)
    lower = (mild / 1200) ** 2
    return role(told.statics(0.30 * lower, -0.20 * lower), "blower-tier")


# ---- blower tier


def test_the_tier_nearest_to_design_is_recommended() -> None:
    """1280 cfm asked: 1300 is nearer than 1200, which takes less power but is not within 5 %."""
    found = tier(unit(tiers((1050, 300), (1200, 400), (1300, 450), (1400, 500))), 1280)
    assert found.recommended == "firm"
    assert [o.option for o in found.outlooks if o.recommended] == ["firm"]
    flows = {o.option: o.figures["airflow"].value for o in found.outlooks}
    assert flows == {
        t: pytest.approx(q * CFM, rel=1e-4) for t, q in zip(TIERS, (1050, 1200, 1300, 1400), strict=True)
    }


@pytest.mark.parametrize(("near", "picked"), [(1236, "mild"), (1234, "firm")])
def test_within_5_per_cent_of_the_nearest_the_least_power_wins(near: float, picked: str) -> None:
    """5 % of the nearest tier's 1300 cfm is 65: 1236 competes and draws less, 1234 does not.

    5 % of the 1270 asked would be 63.5 and shut both out.
    """
    found = tier(unit(tiers((900, 200), (near, 400), (1300, 450), (1400, 500))), 1270, mild=near)
    assert found.recommended == picked


def test_of_equal_tiers_the_one_with_fewest_writes_wins() -> None:
    """Hush stands first in the file, but Mild is in force and needs no write."""
    assert tier(unit(tiers((1200, 400), (1200, 400), (1400, 450), (1450, 500))), 1200).recommended == "mild"


def test_with_equal_writes_the_order_of_the_file_decides() -> None:
    """Firm and Full each need two writes here."""
    found = tier(unit(tiers((850, 300), (1200, 350), (1400, 450), (1400, 450))), 1400)
    assert found.recommended == "firm"


@pytest.mark.parametrize(
    ("change", "check"),
    [
        ({"blower": {"highest_airflow": "1290 cfm"}}, "BL-1"),
        ({"tier": {"highest_static": "0.58 inH2O"}}, "BL-5"),
        ({"blower": {"highest_static": "0.58 inH2O"}}, "BL-5"),
    ],
)
def test_a_tier_that_fails_as_predicted_is_passed_over(change: dict[str, Any], check: str) -> None:
    """1300 cfm at 0.587 in. w.c. would be nearest to 1300 asked, but lies over a highest."""
    data = tiers((1050, 300), (1200, 400), (1300, 450), (1350, 500))
    data["blower"].update(change.get("blower", {}))
    data["blower"]["tier"][2].update(change.get("tier", {}))
    found = tier(unit(data), 1300)
    assert found.recommended in ("mild", "full")
    outlook = found.of("firm")
    assert outlook is not None
    judged = outlook.judgement(check)
    assert judged is not None
    assert not judged.passes


def test_a_tier_that_would_starve_the_kit_is_passed_over() -> None:
    """The kit needs 860 cfm upflow; 850 would be nearest to the 850 asked."""
    found = tier(unit(tiers((850, 300), (1000, 400), (1300, 450), (1400, 500))), 850, mild=1000)
    assert found.recommended == "mild"
    starved = found.of("hush")
    assert starved is not None
    judged = starved.judgement("BL-11")
    assert judged is not None
    assert (judged.passes, judged.lower) == (False, pytest.approx(860 * CFM, rel=1e-6))


def test_the_kits_least_is_of_standard_air() -> None:
    """At 1000 m 950 cfm are 950 x 0.887 = 843 of standard air, less than 860."""
    told = Job(unit(tiers((950, 300), (1200, 400), (1300, 450), (1400, 500))), instruments=False).identified()
    told.enter("blower.design_airflow", 950 * CFM)
    told.enter("identity.altitude", 1000.0)
    thin = 89875 / 101325
    found = role(told.statics(0.30 * thin, -0.20 * thin), "blower-tier").of("hush")
    assert found is not None
    judged = found.judgement("BL-11")
    assert judged is not None
    assert judged.figure.value == pytest.approx(950 * thin * CFM, rel=1e-3)
    assert not judged.passes


def test_a_conditional_pass_counts() -> None:
    """880 cfm against at least 860 is inside by less than the table's 4 %."""
    found = tier(unit(tiers((880, 300), (1200, 400), (1300, 450), (1400, 500))), 880)
    assert found.recommended == "hush"
    outlook = found.of("hush")
    assert outlook is not None
    judged = outlook.judgement("BL-11")
    assert judged is not None
    assert judged.verdict == "conditional pass"


def test_a_tier_that_would_leave_the_air_too_hot_is_passed_over() -> None:
    """Return 70 degF, 10 kW, and the heat pump at its lockout; 1000 cfm are hotter than 122 degF."""
    data = tiers((1000, 380), (1200, 400), (1300, 450), (1400, 500))
    data["limits"]["leaving_air"] = "122 degF"
    data["heat_pump"]["pairing"][2] |= HOUSE_PUMP
    told = Job(unit(data), instruments=False).identified().house()
    told.enter("blower.design_airflow", 1000 * CFM)
    found = role(told.statics(0.30, -0.20), "blower-tier")
    assert found.recommended == "mild"
    mild, hush = found.of("mild"), found.of("hush")
    assert mild is not None
    assert hush is not None
    # At its lockout of 30 degF the heat pump gives 28 067 Btu/h.
    by_hand = 70 + (10000 * 3.412142 + 28066.7) / (1.08 * 1200)
    assert mild.figures["leaving_air"].value == pytest.approx(celsius(by_hand), rel=1e-4)
    judged = hush.judgement("HS-5")
    assert judged is not None
    assert not judged.passes


def test_where_no_tier_passes_the_nearest_is_named_and_why() -> None:
    """Ducts far too tight for all of them."""
    data = tiers((1050, 300), (1200, 400), (1300, 450), (1400, 500))
    data["blower"]["highest_static"] = "0.20 inH2O"
    found = tier(unit(data), 1280)
    assert found.recommended == "firm"
    assert "No tier passes" in found.why


CASES = [(q, thin) for q in (850.0, 1000.0, 1150.0) for thin in (0.0, 1000.0)]


@pytest.mark.parametrize(("cfm", "altitude_m"), CASES)
def test_every_tier_is_predicted_where_its_table_meets_the_ducts(cfm: float, altitude_m: float) -> None:
    """Mild is measured; brentq finds the others on straight lines between the rows."""
    data = demo()
    thin = {0.0: 1.0, 1000.0: 89875 / 101325}[altitude_m]
    rows = {(t["id"], s["use"]): s["rows"] for t in data["blower"]["tier"] for s in t["speed"]}
    told = Job(unit(data), instruments=False).identified()
    told.enter("identity.altitude", altitude_m)
    total = thin * static_at(rows["mild", "cooling"], cfm)
    told.statics(0.6 * total, -0.4 * total)
    found = role(told, "blower-tier")
    k = total / cfm**2
    for outlook in found.outlooks:
        for use, name in (("cooling", "airflow"), ("heating", "heating_airflow")):
            table = rows[outlook.option, use]
            ends = sorted((table[0][1], table[-1][1]))
            gap = [k * q**2 - thin * static_at(table, q) for q in ends]
            if gap[0] * gap[1] > 0:
                assert name not in outlook.figures
                continue
            point = brentq(lambda q, t=table: k * q**2 - thin * static_at(t, q), *ends, xtol=1e-12)
            assert outlook.figures[name].value == pytest.approx(point * CFM, rel=2e-5)
            if use == "cooling":
                assert outlook.figures["static"].value == pytest.approx(k * point**2 * INCH, rel=1e-4)


def static_at(rows: list[list[float]], cfm: float) -> float:
    """The static of a fan table at an airflow, straight between rows."""
    for (low, most, _), (high, least, _) in pairwise(rows):
        if least <= cfm <= most:
            return low + (high - low) * (most - cfm) / (most - least)
    raise AssertionError(cfm)


@pytest.mark.parametrize("includes", [["filter", "kit"], ["filter"], []])
def test_the_tier_in_force_is_predicted_as_it_was_measured(includes: list[str]) -> None:
    """Whatever the table leaves out: the ducts are the same before and after."""
    data = reference_file()
    data["blower"]["includes"] = includes
    told = Job(unit(data)).identified().statics(0.30, -0.20)
    measured = estimate(told.ledger)
    found = role(told, "blower-tier").of("mild")
    assert found is not None
    assert measured.airflow_m3s is not None
    assert found.figures["airflow"].value == pytest.approx(measured.airflow_m3s.value, rel=1e-9)
    assert found.figures["static"].value == pytest.approx(0.50 * INCH, rel=1e-5)
    assert found.figures["power"].value == pytest.approx(measured.fan_power_w)


def test_the_tier_in_force_is_predicted_as_surely_as_it_was_measured() -> None:
    """Between two rows, where the table has one slope: U of airflow and of static is that of the reading."""
    told = Job(unit(reference_file())).identified().statics(0.30, -0.21)
    measured, found = estimate(told.ledger), role(told, "blower-tier").of("mild")
    assert found is not None
    assert measured.airflow_m3s is not None
    assert measured.total_static_pa is not None
    assert found.figures["airflow"].expanded == pytest.approx(measured.airflow_m3s.expanded, rel=1e-6)
    assert found.figures["static"].expanded == pytest.approx(measured.total_static_pa.expanded, rel=1e-6)


def test_a_prediction_is_no_surer_than_its_readings_and_its_table() -> None:
    """At least the table's 4 % of the other tier, and more where the statics are uncertain."""
    told, bare = (
        Job(unit(demo()), instruments=with_them).identified().statics(0.30, -0.20)
        for with_them in (True, False)
    )
    for option in TIERS:
        sure, unsure = (role(j, "blower-tier").of(option) for j in (bare, told))
        assert sure is not None
        assert unsure is not None
        assert sure.figures["airflow"].expanded == pytest.approx(0.04 * sure.figures["airflow"].value)
        assert sure.figures["airflow"].expanded < unsure.figures["airflow"].expanded


# ---- house


HOUSE_PUMP = {
    "capacity_47": "36000 Btu/h",
    "capacity_35": "30400 Btu/h",
    "capacity_17": "22000 Btu/h",
}
"""36 k at 47, 22 k at 17 degF, and at 35 degF what the straight line gives."""


def house_unit(minutes: tuple[float, ...] = (6, 11, 16, 24, 45, 75), **pump: str | None) -> Equipment:
    """The demo unit with that heat pump, holding heat back for these many minutes."""
    data = demo()
    pairing = data["heat_pump"]["pairing"][2] | HOUSE_PUMP | pump
    data["heat_pump"]["pairing"][2] = {k: v for k, v in pairing.items() if v is not None}
    delay = next(t for t in data["topic"] if t["role"] == "auxiliary-delay")
    for option, value in zip(delay["option"], minutes, strict=True):
        option["value"] = f"{value} min"
    return unit(data)


def house(equipment: Equipment | None = None, **more: Any) -> Job:
    """A visit to the balance-point house: 40 000 Btu/h at 5 degF, zero load at 65 degF."""
    return Job(equipment or house_unit(), instruments=False).identified().house(**more)


def balance_f(told: Job) -> float:
    """The balance point shown, degF."""
    return role(told, "outdoor-lockout").outlooks[0].figures["balance_point"].value * 1.8 + 32


def test_the_balance_point_house() -> None:
    """36 k / 22 k / 40 k: 25.82 degF, so of 25 and 30 offered the lockout is 30."""
    told = house()
    assert balance_f(told) == pytest.approx(25.82, abs=0.005)
    assert role(told, "outdoor-lockout").recommended == "f-30"


def test_without_a_capacity_at_35_f_nine_tenths_of_the_line_are_taken() -> None:
    """0.90 x 30.4 k = 27.36 k at 35 degF: the lines then meet at 27.37 degF."""
    told = house(house_unit(capacity_35=None))
    slope = (0.9 * 30.4 - 22) / 18
    by_hand = (40 * 65 / 60 - 22 + 17 * slope) / (slope + 40 / 60)
    assert by_hand == pytest.approx(27.37, abs=0.005)
    assert balance_f(told) == pytest.approx(by_hand, abs=0.001)


def test_a_balance_point_exactly_on_offer_is_at_or_above_itself() -> None:
    """36 k and 21 k, half a thousand a degree: 27.5 k at 30 degF, and a load of 27.5 x 60/35 k at 5."""
    told = house(house_unit(capacity_35="30000 Btu/h", capacity_17="21000 Btu/h"), load_btu_h=27500 * 60 / 35)
    assert balance_f(told) == pytest.approx(30.0, abs=1e-6)
    assert role(told, "outdoor-lockout").recommended == "f-30"


def test_above_all_on_offer_the_highest_lockout_is_taken() -> None:
    """200 000 Btu/h: 53 degF, and 50 is the highest."""
    told = house(load_btu_h=200000.0)
    assert balance_f(told) > 50
    assert role(told, "outdoor-lockout").recommended == "f-50"


def test_without_an_outdoor_unit_auxiliary_heat_is_not_locked_out() -> None:
    """Nothing else heats."""
    told = Job(house_unit()).identified(outdoor="none").house()
    assert role(told, "outdoor-lockout").recommended == "f-50"


def droops(told: Job) -> dict[float, tuple[float, float]]:
    """Minutes: fall and best case, degF."""
    return {
        round(o.figures["delay"].value / 60, 3): (
            o.figures["droop"].value * 1.8,
            o.figures["best_case"].value * 1.8,
        )
        for o in role(told, "auxiliary-delay").outlooks
    }


def test_the_house_falls_2_3_f_in_24_minutes_and_1_1_f_in_11() -> None:
    """2000 ft2 of medium construction, a quarter of 30.7 MJ/K, 23 600 Btu/h short at design."""
    told = house()
    found = droops(told)
    assert found[24][0] == pytest.approx(2.3, abs=0.05)
    assert found[11][0] == pytest.approx(1.1, abs=0.05)
    delay = role(told, "auxiliary-delay")
    outlooks = {round(o.figures["delay"].value / 60): o.judgement("TD-2") for o in delay.outlooks}
    assert outlooks[24] is not None
    assert outlooks[11] is not None
    assert (outlooks[24].passes, outlooks[11].passes) == (False, True)


def test_the_best_case_is_reckoned_with_the_whole_capacity() -> None:
    """D/UA (1 - exp(-t UA/C)), C = 30.7 MJ/K."""
    loss = 40000 * BTU_H / (60 / 1.8)
    short, capacity = 23600 * BTU_H, 2000 * FT2 * 165e3
    by_hand = short / loss * (1 - exp(-24 * 60 * loss / capacity)) * 1.8
    assert droops(house())[24][1] == pytest.approx(by_hand, rel=1e-4)


def test_the_longest_delay_that_keeps_the_room_within_2_f_is_recommended() -> None:
    """16 minutes: 1.6 degF; 24 fall 2.3."""
    told = house()
    picked = role(told, "auxiliary-delay")
    chosen = picked.of(picked.recommended)
    assert chosen is not None
    assert chosen.figures["delay"].value == 16 * 60


@pytest.mark.parametrize(("limit_f", "minutes"), [(1.2, 11), (2.5, 24), (0.1, 6)])
def test_the_owners_limit_decides_and_where_none_keeps_it_the_shortest(
    limit_f: float, minutes: float
) -> None:
    """0.1 degF is kept by none on offer."""
    told = house()
    told.enter("delay.droop_limit", limit_f / 1.8)
    picked = role(told, "auxiliary-delay")
    chosen = picked.of(picked.recommended)
    assert chosen is not None
    assert chosen.figures["delay"].value == minutes * 60


def test_a_delay_shorter_than_the_compressors_rest_is_not_recommended() -> None:
    """5 minutes of rest: of 3 and 4 that keep the room warm and 24 that does not, the shortest is left."""
    told = house(house_unit((3, 4, 24, 30, 45, 75)))
    picked = role(told, "auxiliary-delay")
    chosen = picked.of(picked.recommended)
    assert chosen is not None
    assert chosen.figures["delay"].value == 3 * 60
    judged = chosen.judgement("TD-4")
    assert judged is not None
    assert (judged.lower, judged.passes) == (300, False)


AROUND_AN_HOUR = house_unit((30, 59, 60, 61, 90, 600))


@settings(max_examples=40, deadline=None)
@given(
    load=st.floats(20000, 120000),
    design_f=st.floats(-20, 40),
    area=st.floats(300, 5000),
    construction=st.sampled_from(["very light", "light", "medium", "heavy", "very heavy"]),
)
def test_a_longer_delay_never_lets_the_room_fall_less(
    load: float, design_f: float, area: float, construction: str
) -> None:
    """Though beyond an hour the whole capacity answers, and never less than the best case."""
    told = house(AROUND_AN_HOUR, load_btu_h=load, design_f=design_f, area_ft2=area, construction=construction)
    found = droops(told)
    falls = [found[minutes] for minutes in sorted(found)]
    for (short, best_short), (long, best_long) in pairwise(falls):
        assert long >= short - 1e-12
        assert best_long >= best_short - 1e-12
    assert all(fall >= best for fall, best in falls)


# ---- heat


def test_every_stage_of_the_kit_is_recommended_and_off_without_one() -> None:
    """Its heat is that of its stages at the volts at hand."""
    told = Job(unit(demo())).identified()
    told.read("electrical.line.l1_l2", 240.0)
    found = role(told, "auxiliary-heat")
    heat = {o.option: o.figures["heat"].value for o in found.outlooks}
    assert heat == {"off": 0.0, "first": pytest.approx(4700), "both": pytest.approx(9400)}
    assert found.recommended == "both"
    assert role(Job(unit(demo())).identified(kit="none"), "auxiliary-heat").recommended == "off"


def test_the_rise_of_half_the_kit_is_half_its_watts_and_the_blowers() -> None:
    """(4800 + 400) W in 1200 cfm."""
    told = Job(unit(reference_file())).identified().statics(0.30, -0.20)
    told.enter("blower.design_airflow", 1200 * CFM)
    found = role(told, "auxiliary-heat").of("first")
    assert found is not None
    by_hand = 5200 * 3.412142 / (1.08 * 1200) / 1.8
    assert found.figures["rise"].value == pytest.approx(by_hand, rel=1e-4)


@pytest.mark.parametrize(("kit", "picked"), [("cedar", "yes"), ("none", "no")])
def test_heat_in_defrost_goes_with_a_kit(kit: str, picked: str) -> None:
    """On with one, off without."""
    assert role(Job(unit(demo())).identified(kit=kit), "heat-in-defrost").recommended == picked


def test_without_heat_in_defrost_the_room_feels_what_the_coil_takes() -> None:
    """18 000 Btu/h out of 1200 cfm: 70 - 13.9 degF; with the kit's 9.6 kW put in, 70 + 11.4 degF."""
    told = Job(unit(reference_file())).identified().statics(0.30, -0.20)
    told.enter("blower.design_airflow", 1200 * CFM)
    felt = {
        o.option: o.figures["leaving_air"].value * 1.8 + 32 for o in role(told, "heat-in-defrost").outlooks
    }
    assert felt["no"] == pytest.approx(70 - 18000 / (1.08 * 1200), abs=0.01)
    assert felt["yes"] == pytest.approx(70 + (9600 * 3.412142 - 18000) / (1.08 * 1200), abs=0.01)


@pytest.mark.parametrize(
    ("load_btu_h", "design_cfm", "kit", "picked"),
    [
        (38000, 1200, "cedar", "warm"),  # 32 757 Btu/h are 0.862 of it
        (39000, 1200, "cedar", "rest"),  # 0.840
        (38000, 1450, "cedar", "rest"),  # enough heat, but no tier within 15 % of 1450
        (38000, 1200, "none", "rest"),
    ],
)
def test_heat_on_lost_communication_asks_for_85_per_cent_and_for_air(
    load_btu_h: float, design_cfm: float, kit: str, picked: str
) -> None:
    """The kit alone has to carry the house, with its airflow proved."""
    told = Job(unit(reference_file())).identified(kit=kit).house(load_btu_h=load_btu_h)
    told.enter("blower.design_airflow", design_cfm * CFM)
    assert role(told.statics(0.30, -0.20), "heat-on-lost-communication").recommended == picked


@pytest.mark.parametrize(("least", "picked"), [("90 s", "s-90"), ("61 s", "s-90"), ("400 s", "s-180")])
def test_run_on_is_the_shortest_that_is_long_enough(least: str, picked: str) -> None:
    """Of 30, 60, 90, 120 and 180 s; where none is, the longest."""
    data = demo()
    data["blower"]["least_run_on"] = least
    assert role(Job(unit(data)).identified(), "blower-run-on").recommended == picked


def test_what_nothing_here_decides_stays_as_found() -> None:
    """The sensor and the restart."""
    told = Job(unit(demo())).identified()
    told.found_all(listening="both")
    assert role(told, "room-sensor").recommended == "both"
    assert role(told, "restart").recommended == "wait"


# ---- what is missing


def test_what_is_missing_is_named_and_nothing_else() -> None:
    """In the order of the fields; nothing is recommended before."""
    told = Job(unit(demo()), instruments=False)
    for name, fields in {
        "blower-tier": ["orientation", "kit"],
        "auxiliary-heat": ["kit", "supply", "orientation"],
        "heat-in-defrost": ["kit"],
        "outdoor-lockout": ["outdoor"],
    }.items():
        found = role(told, name)
        assert found.recommended is None
        assert {f"identity.{f}" for f in fields} <= set(found.missing)
    told.identified()
    assert set(role(told, "blower-tier").missing) == {
        "blower.design_airflow",
        "blower.static.supply",
        "blower.static.return",
    }
    assert set(role(told, "outdoor-lockout").missing) == {"heat.design_load", "heat.design_temperature"}
    assert set(role(told, "auxiliary-delay").missing) == {
        "heat.design_load",
        "heat.design_temperature",
        "delay.floor_area",
        "delay.construction",
    }
    told.house()
    told.enter("blower.design_airflow", 1200 * CFM)
    told.statics(0.30, -0.20)
    assert all(not t.missing and t.recommended for t in of(told).topics.values())


def test_a_stale_reading_is_missing_again() -> None:
    """The tier was written: its statics have to be taken anew."""
    told = Job(unit(demo()), instruments=False).identified().statics(0.30, -0.20)
    told.enter("blower.design_airflow", 1200 * CFM)
    assert role(told, "blower-tier").missing == ()
    told.event("wrote", setting="air-letter", address="unit", shown="a")
    assert set(role(told, "blower-tier").missing) == {"blower.static.supply", "blower.static.return"}


def test_where_a_table_runs_along_the_ducts_the_prediction_stays_a_number() -> None:
    """Here the table gains airflow as fast as the ducts let it: the point is hardly held, yet it is one."""
    data = reference_file()
    rows = [[25, 500, 300], [35, 600, 320]]
    for tier in data["blower"]["tier"]:
        tier["speed"] = [{"use": "cooling", "units": ["Pa", "L/s", "W"], "rows": rows}]
    told = Job(unit(data)).identified()
    told.read("blower.static.supply", 15.0)
    told.read("blower.static.return", -10.0)
    found = role(told, "blower-tier").of("mild")
    assert found is not None
    airflow = found.figures["airflow"]
    assert airflow.value == pytest.approx(0.5)
    assert 0.0 < airflow.expanded < 0.5
