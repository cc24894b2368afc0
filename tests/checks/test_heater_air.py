"""Checks of the air over the heater."""

from __future__ import annotations

import numpy
import pytest
from scipy.optimize import brentq

from asleft.equipment.model import Tier
from checks.air import (
    CFM,
    HEAT_RETURN,
    HEAT_SUPPLY,
    INCH_PA,
    RETURN,
    SUPPLY,
    ZONE_RETURN,
    ZONE_SUPPLY,
    least,
    statics,
)
from checks.visits import Change, Row, choose, found, happens, never, say, undone, with_kit
from support import demo_unit

ZONED = say("blower.zoned", "yes")
FILTER, FINAL = "blower.static.filter", "blower.filter.final_drop"


def zone(supply: str, back: str) -> tuple[Change, ...]:
    """Zone dampers, and the statics of the smallest zone."""
    return (ZONED, *statics(supply, back, (ZONE_SUPPLY, ZONE_RETURN)))


# Firm in force at 300 ft, least airflow of the kit 860 cfm. The smallest zone at 0.75 in. w.c. gets some
# 1090 cfm of standard air with heat on; with the filter at 0.25 in. w.c. the whole house gets some 1120.
ROWS = (
    Row("enough air for the kit", "BL-11 unit.predicted", "pass", severity="hold"),
    Row(
        "barely enough",
        "BL-11 unit.predicted",
        "conditional pass",
        equipment=with_kit(least_airflow_in=least(1160)),
    ),
    Row(
        "barely too little",
        "BL-11 unit.predicted",
        "conditional fail",
        equipment=with_kit(least_airflow_in=least(1210)),
    ),
    Row("too little", "BL-11 unit.predicted", "fail", equipment=with_kit(least_airflow_in=least(1300))),
    Row(
        "a maker who does not say",
        "BL-11 unit.predicted",
        "not measured",
        equipment=with_kit(least_airflow_in={}),
        says="maker",
    ),
    Row(
        "orientation not said",
        "BL-11 unit.predicted",
        "not measured",
        (never("identity.orientation"),),
        fields=("identity.orientation",),
    ),
    Row(
        "statics stale",
        "BL-11 unit.predicted",
        "not measured",
        (happens("wrote", setting="air-letter", address="unit", shown="f"),),
        fields=(SUPPLY, RETURN),
    ),
    Row(
        "the tier in force where none is chosen",
        "BL-11 unit.predicted",
        "pass",
        (undone("chose", topic="tier"),),
        says="Firm",
    ),
    Row(
        "the tier chosen where it is not in force",
        "BL-11 unit.predicted",
        "pass",
        (choose("tier", "full"),),
        says="Full",
    ),
    Row("no kit", "BL-11 unit.predicted", "not applicable", (say("identity.kit", "none"),)),
    Row(
        "kit not said",
        "BL-11 unit.predicted",
        "not measured",
        (never("identity.kit"),),
        fields=("identity.kit",),
    ),
    Row("measured, enough", "BL-11 unit.measured", "pass", severity="hold"),
    Row(
        "measured, barely enough",
        "BL-11 unit.measured",
        "conditional pass",
        equipment=with_kit(least_airflow_in=least(1160)),
    ),
    Row(
        "measured, too little",
        "BL-11 unit.measured",
        "fail",
        equipment=with_kit(least_airflow_in=least(1300)),
    ),
    Row(
        "measured, maker silent",
        "BL-11 unit.measured",
        "not measured",
        equipment=with_kit(least_airflow_in={}),
    ),
    Row(
        "by rise where statics were not taken",
        "BL-11 unit.measured",
        "pass",
        (never(HEAT_SUPPLY),),
        says="rise",
    ),
    Row(
        "neither",
        "BL-11 unit.measured",
        "not measured",
        (never(HEAT_SUPPLY, "heat.stage.2.leaving_air"),),
        fields=(HEAT_SUPPLY, HEAT_RETURN),
    ),
    Row("another tier chosen", "BL-11 unit.measured", "not measured", (choose("tier", "full"),)),
    Row("no kit", "BL-11 unit.measured", "not applicable", (say("identity.kit", "none"),)),
    Row("air enough for the smallest zone", "BL-16 unit", "pass", zone("0.60", "-0.15"), severity="hold"),
    Row(
        "barely",
        "BL-16 unit",
        "conditional pass",
        zone("0.60", "-0.15"),
        with_kit(least_airflow_in=least(1060)),
    ),
    Row(
        "barely not",
        "BL-16 unit",
        "conditional fail",
        zone("0.60", "-0.15"),
        with_kit(least_airflow_in=least(1120)),
    ),
    Row(
        "too little where only one small room calls",
        "BL-16 unit",
        "fail",
        zone("0.82", "-0.13"),
        with_kit(least_airflow_in=least(1050)),
        fields=(ZONE_SUPPLY, ZONE_RETURN),
    ),
    Row(
        "a zone so small that the table ends",
        "BL-16 unit",
        "not measured",
        zone("1.00", "-0.10"),
        says="1.10 in. w.c.",
    ),
    Row("zones not tried", "BL-16 unit", "not measured", (ZONED,), fields=(ZONE_SUPPLY, ZONE_RETURN)),
    Row(
        "nobody said whether there are any",
        "BL-16 unit",
        "not measured",
        (never("blower.zoned"),),
        fields=("blower.zoned",),
    ),
    Row(
        "zone read with another tier",
        "BL-16 unit",
        "not measured",
        (*zone("0.60", "-0.15"), happens("wrote", setting="air-letter", address="unit", shown="f")),
        fields=(ZONE_SUPPLY, ZONE_RETURN),
    ),
    Row(
        "maker silent",
        "BL-16 unit",
        "not measured",
        zone("0.60", "-0.15"),
        with_kit(least_airflow_in={}),
        says="maker",
    ),
    Row("no zones", "BL-16 unit", "not applicable", severity="hold"),
    Row("zones and no kit", "BL-16 unit", "not applicable", (ZONED, say("identity.kit", "none"))),
    Row(
        "air enough behind a loaded filter", "BL-17 unit", "pass", severity="advise", says="at 0.25 in. w.c."
    ),
    Row(
        "barely enough behind it",
        "BL-17 unit",
        "conditional pass",
        equipment=with_kit(least_airflow_in=least(1100)),
    ),
    Row(
        "barely too little behind it",
        "BL-17 unit",
        "conditional fail",
        equipment=with_kit(least_airflow_in=least(1150)),
    ),
    Row(
        "enough now, too little then",
        "BL-17 unit",
        "fail",
        (say(FINAL, "0.60 inH2O"),),
        with_kit(least_airflow_in=least(1050)),
    ),
    Row(
        "loaded already",
        "BL-17 unit",
        "fail",
        (say(FILTER, "0.26 inH2O"),),
        says="changed at",
        fields=(FILTER,),
    ),
    Row(
        "the tier chosen, not the one in force",
        "BL-17 unit",
        "pass",
        (choose("tier", "full"),),
        with_kit(least_airflow_in=least(1150)),
    ),
    Row(
        "a drop that no table holds",
        "BL-17 unit",
        "not measured",
        (say(FINAL, "1.2 inH2O"),),
        says="outside the fan table",
    ),
    Row("its drop not taken", "BL-17 unit", "not measured", (never(FILTER),), fields=(FILTER,)),
    Row("its final drop not known", "BL-17 unit", "not measured", (never(FINAL),), fields=(FINAL,)),
    Row("maker silent", "BL-17 unit", "not measured", equipment=with_kit(least_airflow_in={}), says="maker"),
    Row("no kit", "BL-17 unit", "not applicable", (say("identity.kit", "none"),)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_heater_air(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_thin_air_counts_as_standard_air_for_the_kit() -> None:
    """At 5000 ft pressure is 0.832 of the standard one (ASHRAE Fundamentals ch. 1, table 1)."""
    for subject in ("unit.predicted", "unit.measured"):
        finding = found(say("identity.altitude", "5000 ft"))[f"BL-11 {subject}"]
        assert " x 0.832 = " in finding.working


RATIO = (1 - 2.25577e-5 * 300 * 0.3048) ** 5.2559
"""Air pressure at 300 ft over that at sea level (ASHRAE Fundamentals ch. 1)."""


def _table(use: str) -> tuple[list[float], list[float]]:
    """Firm's rows for a use: statics at this site, Pa, and airflows."""
    firm = next(t for t in demo_unit().blower.tier if t.id == "firm")
    assert isinstance(firm, Tier)
    rows = next(s for s in firm.speed if s.use == use).rows
    return [r.static_pa * RATIO for r in rows], [float(r.airflow_m3s or 0.0) for r in rows]


def _heating(coefficient: float, filter_pa: float = 0.0) -> float:
    """Standard airflow where Firm's heating table meets coefficient x airflow^2 and a fixed drop."""
    static_pa, airflow = _table("heating")

    def lacking(pa: float) -> float:
        return float(pa - filter_pa - coefficient * numpy.interp(pa, static_pa, airflow) ** 2)

    met = brentq(lacking, static_pa[0], static_pa[-1])
    return float(numpy.interp(met, static_pa, airflow)) * RATIO


def test_the_smallest_zones_curve_is_carried_to_the_heating_speed() -> None:
    """By scipy's brentq: the zone's static over its airflow squared, met by the heating table."""
    total = 0.75 * INCH_PA
    expected = _heating(total / float(numpy.interp(total, *_table("cooling"))) ** 2)
    finding = found(*zone("0.60", "-0.15"))["BL-16 unit"]
    assert finding.value == pytest.approx(expected, rel=1e-6)
    assert expected > 1080 * CFM


def test_a_loaded_filter_takes_its_final_drop_and_the_ducts_keep_their_curve() -> None:
    """By scipy's brentq: 0.60 less the 0.095 of the clean filter go as the square, and 0.25 stays."""
    airflow = float(numpy.interp(0.60 * INCH_PA, *_table("cooling")))
    expected = _heating((0.60 - 0.095) * INCH_PA / airflow**2, 0.25 * INCH_PA)
    finding = found()["BL-17 unit"]
    assert finding.value == pytest.approx(expected, rel=1e-6)


def test_a_filter_of_doubtful_final_drop_makes_the_prediction_less_sure() -> None:
    """The label's own doubt joins that of table and statics."""
    sure, doubtful = (found(say(FINAL, f"0.25 {typed}inH2O"))["BL-17 unit"] for typed in ("", "± 0.15 "))
    assert sure.value == pytest.approx(doubtful.value)
    assert (doubtful.uncertainty or 0.0) > 1.1 * (sure.uncertainty or 0.0)
