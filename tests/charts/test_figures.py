"""Every figure that a chart shows is the forecast's or a finding's."""

from __future__ import annotations

import pytest

from asleft.charts import chart_for
from asleft.charts.chart import Amount, Cell, Chart, Curve, OneLine, Plot, Point, Route
from asleft.charts.house_load import cut_outs
from asleft.installation.outlook import Figure, Outlook
from asleft.session.values import number_of
from asleft.visit import View
from charts.conftest import UNITS, signed, views

POINTS = 5
"""Views of a visit that every unit comes by at the least."""
EVERY = [(unit, n) for unit in UNITS for n in range(POINTS)]


def _plot(chart: Chart | None) -> Plot:
    assert chart is not None
    assert isinstance(chart.picture, Plot)
    return chart.picture


def _curve(plot: Plot, mark: str) -> Curve:
    return next(curve for curve in plot.curves if curve.mark == mark)


def _on(curve: Curve, x: float) -> list[float]:
    """Every y that the straight lines of a curve have at an x."""
    found = []
    for one, other in zip(curve.points, curve.points[1:], strict=False):
        if one is None or other is None:
            continue
        low, high = sorted((one[0], other[0]))
        if low <= x <= high and low < high:
            found.append(one[1] + (other[1] - one[1]) * (x - one[0]) / (other[0] - one[0]))
    return found


def _is(cell: Cell, figure: Figure | None) -> bool:
    if figure is None:
        return cell is None
    return cell == Amount(figure.value, figure.kind, figure.expanded)


def _outlooks(view: View, role: str) -> list[tuple[Outlook, object]]:
    topic = view.equipment.role(role)
    if topic is None:
        return []
    options = {option.id: option.value for option in view.ledger.options(topic)}
    return [(o, options[o.option]) for o in view.forecast.topics[topic.id].outlooks]


@pytest.mark.parametrize(("unit", "n"), EVERY)
def test_fan_charts_show_what_the_forecast_says_of_each_tier(unit: str, n: int) -> None:
    """Points, table and uncertainties, at every stage of a visit; a point lies on the ducts' curve."""
    view = views(unit)[n]
    chart = chart_for(view, "blower", "blower-tier")
    plot = _plot(chart)
    assert chart is not None
    labels = {tier.id: tier.label for tier in view.equipment.blower.tier}
    for outlook, tier in _outlooks(view, "blower-tier"):
        row = next(row for row in chart.table.rows if row[1] == labels[str(tier)])
        for column, name in ((3, "airflow"), (4, "static"), (5, "power"), (6, "heating_airflow")):
            assert _is(row[column], outlook.figures.get(name)), (column, name)
        airflow, static = outlook.figures.get("airflow"), outlook.figures.get("static")
        points = [point for point in plot.points if point.mark == row[0]]
        if airflow is None or static is None:
            assert points == []
            continue
        (point,) = points
        assert (point.x, point.y) == (airflow.value, static.value)
        assert (point.x_expanded, point.y_expanded) == (airflow.expanded, static.expanded)
        ducts, k = _curve(plot, "S"), view.estimate.duct_coefficient
        assert k is not None
        assert point.y == pytest.approx(k.value * point.x**2, rel=1e-6)
        assert ducts.band is not None
        assert all(
            p is not None and p[1] == pytest.approx(k.value * p[0] ** 2, rel=1e-9) for p in ducts.points
        )


@pytest.mark.parametrize("unit", UNITS)
def test_an_operating_point_lies_on_its_tiers_curve(unit: str) -> None:
    """The picture's fan table, and not only the table behind it, passes through the point."""
    plot = _plot(chart_for(signed(unit), "blower"))
    assert plot.points
    for point in plot.points:
        curve = _curve(plot, point.mark)
        on = _on(Curve("", "", tuple(p and (p[1], p[0]) for p in curve.points)), point.y)
        if on:
            assert min(on, key=lambda x: abs(x - point.x)) == pytest.approx(point.x, rel=1e-6)
        else:
            assert None in curve.points, "only a blank cell may be a gap"


@pytest.mark.parametrize("unit", UNITS)
def test_the_design_airflow_and_its_limits_are_those_that_are_checked(unit: str) -> None:
    """The mark is the field's value, the span the limits of BL-7."""
    view = signed(unit)
    plot = _plot(chart_for(view, "blower"))
    (design,) = [mark for mark in plot.marks if mark.along == "x"]
    assert design.at == number_of(view.ledger.current("blower.design_airflow").value)  # type: ignore[union-attr]
    (span,) = plot.spans
    judged = next(
        (j for outlook, _ in _outlooks(view, "blower-tier") if (j := outlook.judgement("BL-7"))), None
    )
    if judged is not None:
        assert (span.low, span.high) == (judged.lower, judged.upper)
    for mark in plot.marks:
        if mark.along == "y":
            tops = [
                j.upper for outlook, _ in _outlooks(view, "blower-tier") if (j := outlook.judgement("BL-5"))
            ]
            assert not tops or mark.at in tops


@pytest.mark.parametrize(("unit", "n"), EVERY)
def test_the_house_chart_shows_the_forecasts_lockouts_and_balance_point(unit: str, n: int) -> None:
    """And the capacity curve passes through it, the load curve through the design load."""
    view = views(unit)[n]
    chart = chart_for(view, "heat", "outdoor-lockout")
    if chart is None or chart.empty:
        return
    plot = _plot(chart)
    e = view.estimate
    assert e.design_temperature_c is not None
    load = _curve(plot, "L")
    assert _on(load, e.design_temperature_c)[0] == pytest.approx(e.design_load_w, rel=1e-9)
    outlooks = _outlooks(view, "outdoor-lockout")
    rows = {row[0]: row for row in chart.table.rows}
    assert len(rows) == len(outlooks)
    for outlook, _ in outlooks:
        row = rows[outlook.label]
        for column, name in ((2, "lockout"), (3, "above_balance"), (4, "lets_go")):
            assert _is(row[column], outlook.figures.get(name))
        balance = outlook.figures.get("balance_point")
        points = [point for point in plot.points if point.mark == "B"]
        assert bool(points) == (balance is not None)
        if balance is not None:
            assert points[0].x == pytest.approx(balance.value, abs=1e-6)
    for point in plot.points:
        cut_out, _ = cut_outs(view)
        assert _on(load, point.x)[0] == pytest.approx(point.y, rel=1e-6)
        if cut_out is None or point.x > cut_out:
            assert max(_on(_curve(plot, "P"), point.x)) == pytest.approx(point.y, rel=1e-3)


@pytest.mark.parametrize("unit", UNITS)
def test_each_kit_stage_stands_its_own_heat_above_the_heat_pump(unit: str) -> None:
    """Stages 1 to n on top of the capacity, at every temperature of the curve."""
    view = signed(unit)
    chart = chart_for(view, "heat")
    if chart is None:
        assert not view.equipment.heater
        return
    plot = _plot(chart)
    heats = view.estimate.heat_to_stage_w
    assert [c.mark for c in plot.curves if c.mark.isdigit()] == [str(n) for n in range(1, len(heats) + 1)]
    pump = next((c.points for c in plot.curves if c.mark == "P"), None)
    for n, heat in enumerate(heats, 1):
        points = _curve(plot, str(n)).points
        below = pump or tuple((p[0], 0.0) for p in points if p)
        assert [p and p[1] for p in points] == [p and p[1] + heat.value for p in below]


@pytest.mark.parametrize("unit", UNITS)
def test_lockouts_are_marked_as_in_force_chosen_and_recommended(unit: str) -> None:
    """Those that are neither have no line; the words are the ledger's and the forecast's."""
    view = signed(unit)
    topic = view.equipment.role("outdoor-lockout")
    if topic is None:
        return
    marks = {mark.at: mark.words for mark in _plot(chart_for(view, "heat")).marks if mark.words}
    chosen, in_force = view.ledger.chosen(topic), view.ledger.in_force(topic)
    recommended = view.forecast.topics[topic.id].recommended
    expected: dict[float, list[str]] = {}
    for word, id in (
        ("in force", in_force and in_force.id),
        ("chosen", chosen and chosen.id),
        ("recommended", recommended),
    ):
        option = view.ledger.option(topic, id) if id else None
        if option is not None:
            expected.setdefault(float(option.value), []).append(word)
    assert marks == {at: ", ".join(words) for at, words in expected.items()}


@pytest.mark.parametrize(("unit", "n"), EVERY)
def test_the_droop_chart_shows_the_forecasts_droop_of_each_delay(unit: str, n: int) -> None:
    """Each delay stands on the curve, with best case and energy in the table, against the limit judged."""
    view = views(unit)[n]
    chart = chart_for(view, "delay", "auxiliary-delay")
    outlooks = _outlooks(view, "auxiliary-delay")
    if chart is None:
        assert not outlooks
        return
    plot = _plot(chart)
    assert len(chart.table.rows) == len(outlooks)
    for row, (outlook, _) in zip(chart.table.rows, outlooks, strict=True):
        for column, name in ((3, "delay"), (4, "droop"), (5, "best_case"), (6, "energy")):
            assert _is(row[column], outlook.figures.get(name))
        points = [point for point in plot.points if point.mark == row[0]]
        droop = outlook.figures.get("droop")
        assert bool(points) == (droop is not None)
        if droop is not None:
            assert (points[0].x, points[0].y) == (outlook.figures["delay"].value, droop.value)
            assert _on(_curve(plot, "Q"), points[0].x)[0] == pytest.approx(droop.value, rel=0.01, abs=1e-9)
            best = outlook.figures["best_case"].value
            assert _on(_curve(plot, "W"), points[0].x)[0] == pytest.approx(best, rel=0.01, abs=1e-9)
            judged = outlook.judgement("TD-2")
            assert judged is not None
            assert plot.marks[0].at == judged.upper


@pytest.mark.parametrize(("unit", "n"), EVERY)
def test_the_wiring_shows_the_fields_of_each_circuit(unit: str, n: int) -> None:
    """One row and one branch a circuit of the kit fitted, each with what was entered for it."""
    view = views(unit)[n]
    chart = chart_for(view, "electrical")
    assert chart is not None
    assert isinstance(chart.picture, OneLine)
    kit = view.ledger.kit
    circuits = kit.circuit if kit else ()
    assert len(chart.table.rows) == len(circuits)
    assert len(chart.picture.branches) == len(circuits) + (not any(c.feeds_blower for c in circuits))
    for number, row in enumerate(chart.table.rows, 1):
        for column, part in ((1, "device"), (3, "length"), (6, "called.l1"), (7, "called.l2")):
            entry = view.ledger.current(f"electrical.circuit.{number}.{part}")
            cell = row[column]
            there = number_of(entry.value) if entry else None
            assert (cell.value if isinstance(cell, Amount) else None) == there
    stages = sum(load.startswith("stage ") for b in chart.picture.branches for load in b.loads)
    assert stages == (sum(len(c.stages) for c in circuits))


@pytest.mark.parametrize(("unit", "n"), EVERY)
def test_the_route_is_the_plan_step_for_step(unit: str, n: int) -> None:
    """In its order, one stop for each time an address is gone to, one for each time power is switched."""
    view = views(unit)[n]
    chart = chart_for(view, "sequence")
    if chart is None:
        assert not view.equipment.setting
        return
    assert isinstance(chart.picture, Route)
    assert [row[0] for row in chart.table.rows] == [str(step.n) for step in view.plan]
    doings = [doing for stop in chart.picture.stops for doing in stop.doings]
    assert len(doings) == len(view.plan)
    for doing, step in zip(doings, view.plan, strict=True):
        assert (doing.state == "done") == step.done
        assert doing.text.startswith(
            {"look": "look", "write": "set", "read_back": "read", "power": "switch"}[step.do]
        )
    changes = sum(
        (a.address if a.do != "power" else "") != (b.address if b.do != "power" else "")
        for a, b in zip(view.plan, view.plan[1:], strict=False)
    )
    assert len(chart.picture.stops) == changes + bool(view.plan)
    here = [stop for stop in chart.picture.stops if stop.here]
    if view.next.do in ("look", "write", "read_back"):
        assert here


def test_figures_are_shown_in_either_system_of_units() -> None:
    """The same values, other words."""
    ip, si = (chart_for(signed(UNITS[0], system), "blower") for system in ("ip", "si"))
    assert ip is not None
    assert si is not None
    assert [p.x for p in _plot(ip).points] == [p.x for p in _plot(si).points]
    assert "cfm" in ip.note
    assert "L/s" in si.note


def test_a_point_without_uncertainty_has_none() -> None:
    """The balance point is where two lines meet; nobody says how well they are known."""
    (point,) = _plot(chart_for(signed("tarnfield-lowmoor-36"), "heat")).points
    assert isinstance(point, Point)
    assert point.x_expanded == point.y_expanded == 0.0
