"""What comes out of a calculation for a person: digits, uncertainty, and what each input adds to it."""

from __future__ import annotations

import math

import pytest

from asleft.calc import CalcError
from asleft.calc.working import Answer, answer, base_unit, find_calculation

K = 2 / math.sqrt(3)
"""A typed ± of one unit is an expanded uncertainty of so many."""


def done(name: str, *pairs: str) -> Answer:
    """Do a calculation from pairs as typed."""
    return answer(name, dict(pair.split("=", 1) for pair in pairs))


def shown(found: Answer, system: str = "ip") -> list[str]:
    """Write every result with its uncertainty."""
    return [outcome.shown_with_uncertainty(system) for outcome in found.outcomes]


HEATER = ["power=9.6 kW", "voltage=240 V"]


@pytest.mark.parametrize(
    ("power", "text"),
    [
        ("9.6 kW", "40.00 A"),
        ("9.6 kW ± 960 W", "40.00 A ± 4.62 A (U, k = 2)"),
        ("9.6 kW ± 192 W", "40.00 A ± 0.92 A (U, k = 2)"),
        ("9.6 kW ± 9.6 W", "40.000 A ± 0.046 A (U, k = 2)"),
        ("9.6 kW ± 0.1 W", "40.00000 A ± 0.00048 A (U, k = 2)"),
        ("9.6 kW ± 0.000001 W", "40.000000000 A ± 0.000000005 A (U, k = 2)"),
        ("9.6 kW ± 9.6 kW", "40.00 A ± 46.19 A (U, k = 2)"),
    ],
)
def test_an_uncertainty_shows_two_figures_at_least(power: str, text: str) -> None:
    """Of 240 V, P ± a gives 2 a / (sqrt3 240) amperes; as many decimals as show two figures, nine at most."""
    assert shown(done("heater-current", f"power={power}", "voltage=240 V")) == [text]


HOUSE = ["capacity_47=36 kBtu/h", "capacity_17=22 kBtu/h", "design_temperature=5 F"]


def test_the_uncertainty_of_a_temperature_is_a_difference() -> None:
    """1 kBtu/h more load moves the balance point of 25.82 by (65 - 25.82)/60 over (14/30 + 40/60) degF."""
    found = done("balance-point", *HOUSE, "design_load=40 kBtu/h ± 1 kBtu/h")
    per_kbtu_f = (65 - 25.8235) / 60 / (14 / 30 + 40 / 60)
    expanded = found.outcomes[0].expanded
    assert expanded == pytest.approx(K * per_kbtu_f / 1.8, rel=1e-4)
    assert K * per_kbtu_f == pytest.approx(0.665, abs=0.0005)
    assert shown(found)[0] == "25.82 °F ± 0.67 °F (U, k = 2)"
    assert shown(found, "si")[0] == "-3.43 °C ± 0.37 K (U, k = 2)"
    assert found.outcomes[0].shown() == "25.8 °F"


def test_two_figures_are_counted_in_the_unit_shown() -> None:
    """9 W in 10 kW on 1201 cfm is 1.25 cfm, and 0.59 L/s, which takes one decimal more to tell."""
    found = done("airflow-from-rise", "heater_power=10 kW ± 9 W", "rise=26.3 F")
    cfm = 10000 * 3600 / 1055.05585262 / (1.08 * 26.3)
    assert found.outcomes[0].expanded == pytest.approx(K * 9e-4 * cfm * 4.719474432e-4)
    assert shown(found) == ["1201.3 cfm ± 1.2 cfm (U, k = 2)"]
    assert shown(found, "si") == ["566.95 L/s ± 0.59 L/s (U, k = 2)"]


def test_two_figures_are_counted_in_a_unit_of_the_results_own() -> None:
    """0.3 m within 1000 m are 3.8 Pa by the derivative, 0.0038 kPa; three decimals would do in inches."""
    found = done("standard-pressure", "altitude=1000 m ± 0.3 m")
    slope_pa_m = 101325 * 5.2559 * 2.25577e-5 * (1 - 2.25577e-2) ** 4.2559
    assert found.outcomes[0].expanded == pytest.approx(K * 0.3 * slope_pa_m, rel=1e-6)
    assert shown(found) == ["89.8745 kPa ± 0.0038 kPa (U, k = 2)"]


def test_beside_a_point_without_an_answer_the_other_side_tells_the_uncertainty() -> None:
    """105, 97.5 and 97.5 V are 5 % apart, where the curve ends; below, it falls by 7 x the unbalance.

    u = (5 + 2/3 d) / (100 + d/3) grows by (200/3 - 5/3) / 100^2 = 0.0065 a volt of the first leg.
    """
    found = done("voltage-unbalance", "voltages=105 V ± 0.1 V, 97.5 V, 97.5 V")
    derating = found.outcomes[1]
    assert derating.value == pytest.approx(0.75)
    assert derating.expanded == pytest.approx(K * 0.1 * 7 * 0.0065, rel=1e-4)


def test_a_result_that_an_input_does_not_touch_is_certain() -> None:
    """The load says nothing of the heat pump's capacity; the auxiliary power takes the whole of its doubt."""
    found = done("balance-point", *HOUSE, "design_load=40 kBtu/h ± 1 kBtu/h")
    assert found.outcomes[2].expanded == 0.0
    assert found.outcomes[3].expanded == pytest.approx(K * 293.07107, rel=1e-6)
    assert shown(found)[2] == "16400 Btu/h ± 0 Btu/h (U, k = 2)"


def test_each_input_adds_its_own_part() -> None:
    """2 % of power and 1 % of volts on 40 A: 0.8 and 0.4 A as limits, joined as the sides of a triangle."""
    outcome = done("heater-current", "power=9.6 kW ± 192 W", "voltage=240 V ± 2.4 V").outcomes[0]
    assert [label for label, _ in outcome.parts] == ["power", "voltage"]
    assert [part for _, part in outcome.parts] == pytest.approx([0.8 * K, 0.4 * K], rel=1e-6)
    assert outcome.expanded == pytest.approx(K * math.hypot(0.8, 0.4), rel=1e-6)


def test_items_of_a_list_are_counted_from_one_and_varied_each_in_its_place() -> None:
    """Half an ampere at 24 V ± 0.1 A is 2.4 VA, the 10 VA load is exact, the 5 VA one ± 1 VA."""
    found = done("control-load", "rating=40 VA", "loads=0.5 A ± 0.1 A, 10 VA, 5 VA ± 1 VA", "voltage=24 V")
    load, fraction = found.outcomes
    assert (load.value, fraction.value) == pytest.approx((27.0, 0.675))
    assert [label for label, _ in load.parts] == ["loads 1", "loads 3"]
    assert [part for _, part in load.parts] == pytest.approx([2.4 * K, 1.0 * K])
    assert fraction.expanded == pytest.approx(K * math.hypot(2.4, 1.0) / 40)


def test_one_of_three_legs_is_varied_alone() -> None:
    """462, 463 and 455 ± 1 V: the low leg stands 5 V below the mean of 460, and so does the unbalance."""
    found = done("voltage-unbalance", "voltages=462 V, 463 V, 455 V ± 1 V")
    # d((m - v)/m)/dv = -1/m + v/(3 m^2), with dm/dv = 1/3.
    slope = -1 / 460 + 455 / (3 * 460**2)
    ((label, part),) = found.outcomes[0].parts
    assert label == "voltages 3"
    assert part == pytest.approx(K * abs(slope), rel=1e-4)


def test_one_instrument_adds_up_and_two_do_not() -> None:
    """Statics of 75 ± 3 and -50 ± 2 Pa by one manometer: 5 Pa as a limit, not the root of 13."""
    total = done("total-external-static", "supply=75 Pa ± 3 Pa", "return=-50 Pa ± 2 Pa").outcomes[0]
    assert (total.value, total.expanded) == pytest.approx((125.0, 5 * K))


def test_stepped_results_carry_no_uncertainty() -> None:
    """A device size or a number of parts is one or another, not more or less."""
    found = done("branch-circuit", "heater_power=9.6 kW ± 100 W", "voltage=240 V")
    assert [outcome.expanded is None for outcome in found.outcomes] == [False, False, True, True, True]
    assert found.outcomes[0].expanded == pytest.approx(K * 100 / 240)
    assert found.outcomes[1].expanded == pytest.approx(1.25 * K * 100 / 240)


@pytest.mark.parametrize(
    ("name", "pairs", "place", "text"),
    [
        ("voltage-unbalance", ["voltages=480 V,400 V,480 V"], 1, "not to be run above 5 %"),
        (
            "recovery-time",
            ["surplus=1 kW", "heat_loss_coefficient=350 W/K", "thermal_capacity=30 MJ/K", "setback=6 F"],
            0,
            "never",
        ),
        ("branch-circuit", ["heater_power=9.6 kW", "voltage=240 V"], 3, "6 AWG"),
        ("conformity", ["value=5", "expanded=1", "lower=4"], 0, "pass"),
        ("instrument-uncertainty", ["reading=70 F", "percent=1"], 0, "0.700 °F"),
        ("instrument-uncertainty", ["reading=240 V", "percent=1"], 0, "2.400 V"),
        (
            "friction-rate",
            ["external_static=124.54 Pa", "losses=0 Pa", "total_effective_length=99 ft"],
            0,
            "",
        ),
    ],
)
def test_words_gaps_and_finer_digits(name: str, pairs: list[str], place: int, text: str) -> None:
    """What has no answer says so in words; an uncertainty has two decimals more than its reading."""
    assert text in shown(done(name, *pairs))[place]
    assert text in done(name, *pairs).outcomes[place].shown()


def test_the_working_ends_with_how_the_uncertainty_was_found() -> None:
    """Each uncertain input by itself, its limit first; then what each adds, then their sum."""
    lines = done("heater-current", "power=9.6 kW ± 192 W", "voltage=240 V").working()
    assert lines[-3:] == [
        "U of power (k = 2), known to within 0.192 kW = 2 × 0.192 kW / sqrt(3) = 0.221703 kW",
        "power changed by its U alone changes current by 0.92376 A",
        "U of current (k = 2) = sqrt((0.92376 A)^2) = 0.92376 A",
    ]
    assert not [line for line in done("heater-current", *HEATER).working() if "U of" in line]


def test_repeated_readings_are_told_with_their_scatter() -> None:
    """239, 240 and 241 V have a mean of 240 V whose standard deviation is 1/sqrt3 V; a typed ± joins it."""
    lines = done("heater-current", "power=9.6 kW", "voltage=239; 240; 241 V").working()
    assert lines[-3] == (
        "U of voltage (k = 2), from 3 readings, their mean 240 V with a standard deviation of 0.57735 V"
        " = 2 × sqrt((0.57735 V)^2) = 1.1547 V"
    )
    both = done("heater-current", "power=9.6 kW", "voltage=239; 240; 241 V ± 1 V").working()
    assert both[-3].endswith(" = 2 × sqrt((0.57735 V)^2 + (1 V)^2 / 3) = 1.63299 V")


def test_one_manometer_is_shown_adding_up() -> None:
    """The sum for one instrument has no squares in it."""
    lines = done("total-external-static", "supply=75 Pa ± 3 Pa", "return=-50 Pa ± 2 Pa").working("si")
    assert lines[-1] == "U of total (k = 2) = 3.4641 Pa + 2.3094 Pa = 5.7735 Pa"
    loads = done("control-load", "rating=40 VA", "loads=10 VA ± 1 VA, 5 VA").working()
    assert any(line.startswith("U of loads 1 (k = 2), known to within 1 VA") for line in loads)
    assert not any("loads 2 (k" in line for line in loads)


def test_only_results_that_carry_an_uncertainty_are_told_one() -> None:
    """A circuit's load and minimum have a U line each; its device, conductor and parts have none."""
    lines = done("branch-circuit", "heater_power=9.6 kW ± 100 W", "voltage=240 V").working()
    told = [line.split(" = ")[0] for line in lines if line.startswith("U of")]
    assert told == ["U of heater_power (k", "U of load_current (k", "U of minimum_ampacity (k"]


@pytest.mark.parametrize("name", ["nope", "", "heater_current"])
def test_an_unknown_calculation_is_refused_by_its_name(name: str) -> None:
    """The name is blamed, and what would be right is one from the list."""
    with pytest.raises(CalcError) as caught:
        find_calculation(name)
    assert caught.value.input == (name or "''")
    assert caught.value.why == "no calculation has this name"
    assert "lists" in caught.value.expected


@pytest.mark.parametrize(
    ("airflow", "change", "blamed"),
    [
        ("1 m3/s ± 1e155 m3/s", "1e152 K", "airflow"),
        ("1 m3/s ± 1e155 m3/s", "1e152 K ± 1 K", "airflow"),
        ("1e152 m3/s ± 1 m3/s", "1 K ± 1e155 K", "temperature_change"),
    ],
)
def test_an_uncertainty_beyond_all_numbers_is_refused(airflow: str, change: str, blamed: str) -> None:
    """The input of the widest uncertainty is blamed for a result whose own is not finite."""
    with pytest.raises(CalcError) as caught:
        done("sensible-heat", f"airflow={airflow}", f"temperature_change={change}")
    assert caught.value.input == blamed
    assert "so uncertain" in caught.value.why
    assert caught.value.expected == "a usual size"


def test_the_leg_blamed_is_named_without_its_number() -> None:
    """Of a list the input is blamed, by the name that was typed."""
    with pytest.raises(CalcError) as caught:
        done(
            "friction-rate",
            "external_static=1 Pa",
            "losses=1 Pa ± 1e155 Pa",
            "total_effective_length=1e-154 m",
        )
    assert caught.value.input == "losses"


def test_counts_are_numbers_too() -> None:
    """The number of parts of a heater comes out as the number it is."""
    parts = done("branch-circuit", "heater_power=15 kW", "voltage=240 V").outcomes[4]
    assert (parts.value, type(parts.value), parts.shown()) == (2.0, float, "2")


def test_base_units_have_names_and_words_have_none() -> None:
    """What JSON writes beside a value."""
    assert [base_unit(kind) for kind in ("airflow", "voltage", "word", "size")] == ["m3/s", "V", "", ""]
