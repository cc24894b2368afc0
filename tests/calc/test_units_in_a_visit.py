"""A visit's findings do not depend on the units in which its readings were typed or are read."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asleft import checks
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.quantity import from_unit, to_unit, unit_of
from asleft.sequence import plan
from checks.visits import Change, say, visit

FEW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])

READINGS = {
    "identity.altitude": ("length", "ft", "m", 0, 6000),
    "identity.outdoor_capacity": ("heat_rate", "Btu/h", "kW", 33000, 39000),
    "blower.design_airflow": ("airflow", "cfm", "L/s", 900, 1500),
    "heat.design_load": ("heat_rate", "Btu/h", "kW", 25000, 60000),
    "heat.design_temperature": ("temperature", "°F", "°C", -10, 25),
    "delay.floor_area": ("area", "ft2", "m2", 1200, 3500),
    "electrical.circuit.1.ambient": ("temperature", "°F", "°C", 60, 130),
    "electrical.ground.resistance": ("resistance", "ohm", "mohm", 0.1, 0.6),
    "electrical.line.l1_l2": ("voltage", "V", "kV", 212, 258),
    "electrical.line.l1_ground": ("voltage", "V", "kV", 110, 130),
    "electrical.line.l2_ground": ("voltage", "V", "kV", 110, 130),
    "electrical.control.idle": ("voltage", "V", "kV", 20, 30),
    "electrical.control.loaded": ("voltage", "V", "kV", 19, 28),
    "electrical.blower.current": ("current", "A", "mA", 1, 6),
    "electrical.stage.1.voltage": ("voltage", "V", "kV", 225, 245),
    "electrical.stage.1.current": ("current", "A", "mA", 18, 26),
    "electrical.stage.2.voltage": ("voltage", "V", "kV", 225, 245),
    "electrical.stage.2.current": ("current", "A", "mA", 36, 48),
    "electrical.loaded.l1_l2": ("voltage", "V", "kV", 210, 255),
    "blower.static.supply": ("static_pressure", "inH2O", "Pa", 0.1, 0.6),
    "blower.static.return": ("static_pressure", "inH2O", "Pa", -0.5, -0.05),
    "heat.stage.1.return_air": ("temperature", "°F", "°C", 60, 75),
    "heat.stage.1.leaving_air": ("temperature", "°F", "°C", 76, 95),
    "heat.stage.2.return_air": ("temperature", "°F", "°C", 60, 75),
    "heat.stage.2.leaving_air": ("temperature", "°F", "°C", 80, 130),
    "heat.static.supply": ("static_pressure", "inH2O", "Pa", 0.1, 0.6),
    "heat.static.return": ("static_pressure", "inH2O", "Pa", -0.5, -0.05),
}
"""A field's kind, its unit in one system and in the other, and between what its reading is drawn."""


def entries(seed: int) -> tuple[list[Change], list[Change]]:
    """Give a random visit's readings in one system of units, and the same in the other."""
    random = Random(seed)
    there, elsewhere = [], []
    for field, (kind, unit, other, low, high) in READINGS.items():
        number = random.uniform(low, high)
        there.append(say(field, f"{number!r} {unit}"))
        elsewhere.append(say(field, f"{to_unit(from_unit(number, kind, unit), kind, other)!r} {other}"))
    return there, elsewhere


@FEW
@given(st.integers(0, 2**32))
def test_units_never_change_a_verdict(seed):
    """Findings are word for word the same to the last digit shown, and so is every recommendation."""
    runs = []
    for changes in entries(seed):
        ledger = visit(*changes).ledger
        known = estimate(ledger)
        outlook = forecast(ledger, known)
        runs.append((checks.run(ledger, known, outlook, plan(ledger)), outlook))
    (findings, outlook), (others, other_outlook) = runs
    assert [f.key for f in findings] == [f.key for f in others]
    for one, other in zip(findings, others, strict=True):
        assert (one.verdict, one.severity, one.text) == (other.verdict, other.severity, other.text)
        assert (one.working, one.do, one.fields) == (other.working, other.do, other.fields)
        for name in ("value", "uncertainty", "lower", "upper", "margin", "probability"):
            numbers = getattr(one, name), getattr(other, name)
            if None in numbers:
                assert numbers == (None, None)
            else:
                assert numbers[0] == pytest.approx(numbers[1], rel=1e-8, abs=1e-8)
    recommended = {id: topic.recommended for id, topic in outlook.topics.items()}
    assert recommended == {id: topic.recommended for id, topic in other_outlook.topics.items()}


def test_the_random_visits_are_not_all_alike():
    """What the units leave alone is of every verdict: among forty visits each of the five occurs."""
    verdicts = set()
    for seed in range(40):
        ledger = visit(*entries(seed)[0]).ledger
        known = estimate(ledger)
        verdicts |= {f.verdict for f in checks.run(ledger, known, forecast(ledger, known), plan(ledger))}
    assert {"pass", "conditional pass", "conditional fail", "fail", "not measured"} <= verdicts


def test_units_are_typed_in_both_systems():
    """Each in the kind's unit of either system, or under another prefix where both share one."""
    for field, (kind, unit, other, _, _) in READINGS.items():
        if unit_of(kind, "ip") != unit_of(kind, "si"):
            assert from_unit(1.0, kind, unit) == from_unit(1.0, kind, unit_of(kind, "ip")), field
            assert from_unit(1.0, kind, other) == from_unit(1.0, kind, unit_of(kind, "si")), field
        assert from_unit(1.0, kind, unit) != from_unit(1.0, kind, other), field


@FEW
@given(st.integers(0, 2**32))
def test_the_units_in_which_a_person_reads_never_change_a_verdict(seed):
    """The same visit read in either system: the same findings, verdicts, limits and recommendations."""
    runs = []
    for system in ("ip", "si"):
        ledger = replace(visit(*entries(seed)[0]).ledger, system=system)
        known = estimate(ledger)
        outlook = forecast(ledger, known)
        found = checks.run(ledger, known, outlook, plan(ledger))
        runs.append(
            (
                [(f.key, f.verdict, f.severity, f.value, f.uncertainty, f.lower, f.upper) for f in found],
                {id: topic.recommended for id, topic in outlook.topics.items()},
            )
        )
    assert runs[0] == runs[1]
