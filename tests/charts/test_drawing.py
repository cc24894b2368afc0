"""Drawings fit any place, tell curves apart without colour, and say what is missing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from asleft.charts import as_table, charts_of, drawn
from asleft.charts.cells import letters, padded, width, wrapped
from asleft.charts.chart import (
    Axis,
    Branch,
    Chart,
    Curve,
    Doing,
    Mark,
    OneLine,
    Plot,
    Point,
    Route,
    Span,
    Stop,
    Table,
)
from asleft.equipment.model import Equipment
from asleft.session.ledger import Ledger
from asleft.visit import View
from asleft.visit.view import look
from charts.conftest import UNITS, signed, views

SIZES = [
    *((n, 12) for n in range(1, 40, 4)),
    *((60, n) for n in range(1, 20, 3)),
    *[(1, 1), (1, 80), (250, 1), (76, 16), (80, 24), (116, 30), (250, 80)],
]
HOSTILE = (
    "\x1b[2J[/red][@click=app.quit]x[/]\u202e\u200d\u0301 漢字e\u0301\u0301\u0301\u0301 ‮ \ufe0f\n\r\t{}%s"
)


def _fits(lines: list[str], columns: int, rows: int) -> None:
    assert len(lines) <= rows
    for line in lines:
        assert width(line) <= columns, (columns, rows, line)
        assert cell_len(line) <= columns, (columns, rows, line)
        assert line.isprintable(), repr(line)


@pytest.mark.parametrize("unit", UNITS)
def test_no_drawing_leaves_its_place(unit: str) -> None:
    """From one cell to a whole wall, at every stage of a visit; half the sizes, fine or coarse, by turns."""
    for turn, view in enumerate(views(unit)[::2]):
        for chart in charts_of(view):
            for n, (columns, rows) in enumerate(SIZES):
                if (n + turn) % 2:
                    continue
                _fits(drawn(chart, columns, rows, ascii=bool((n + turn) % 4)), columns, rows)
                _fits(as_table(chart, columns), columns, 10_000)


@pytest.mark.parametrize(("columns", "rows"), [(0, 5), (5, 0), (-1, -1)])
def test_no_place_at_all_draws_nothing(columns: int, rows: int) -> None:
    """A widget of no size is none of a chart's business."""
    for chart in charts_of(signed(UNITS[0])):
        assert drawn(chart, columns, rows) == []


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("size", [(76, 16), (116, 30)])
def test_at_the_sizes_of_a_terminal_every_chart_is_a_picture(unit: str, size: tuple[int, int]) -> None:
    """Not words alone: curves with each of their letters, or boxes and wires."""
    for chart in charts_of(signed(unit)):
        for coarse in (False, True):
            lines = drawn(chart, *size, ascii=coarse)
            text = "\n".join(lines)
            if isinstance(chart.picture, Plot):
                picture = "".join(_rows(lines, coarse=coarse))
                for curve in chart.picture.curves:
                    assert any(mark in picture for mark in (curve.mark, curve.mark.lower())), curve.mark
                for point in chart.picture.points:
                    assert not point.matters or f"({point.mark})" in text
            else:
                assert any(sign in text for sign in (("──", "─┤") if not coarse else ("--", "-+")))


@pytest.mark.parametrize("unit", UNITS)
def test_a_coarse_drawing_needs_nothing_but_a_typewriter(unit: str) -> None:
    """What is drawn is ASCII; only words and units keep their own letters."""
    for chart in charts_of(signed(unit)):
        signs = {sign for line in drawn(chart, 100, 28, ascii=True) for sign in line if not sign.isascii()}
        assert signs <= set("°±×–…²³")


def test_what_is_missing_is_named_by_the_labels_of_its_fields() -> None:
    """At the beginning of a visit every chart that cannot be drawn says which fields it waits for."""
    view = views("tarnfield-lowmoor-36")[0]
    labels = {field.label for field in view.ledger.fields.values()}
    empty = [chart for chart in charts_of(view) if chart.empty]
    assert {chart.id for chart in empty} == {"house-load", "room-falls"}
    for chart in empty:
        assert chart.missing
        assert set(chart.missing) <= labels
        words = " ".join(drawn(chart, 200, 10))
        assert all(label in words for label in chart.missing)
        assert "Cannot be drawn yet" in words
        assert any("Still to be entered" in line for line in as_table(chart))


@pytest.mark.parametrize("unit", UNITS)
def test_once_a_visit_is_whole_nothing_is_missing(unit: str) -> None:
    """Every chart of a signed session is drawn and asks for no field."""
    for chart in charts_of(signed(unit)):
        assert not chart.missing, chart.id
        assert not chart.empty


def test_tables_alone_are_drawn_before_the_ducts_are_measured() -> None:
    """The fan tables stand without a curve of the ducts, and what is lacking is said."""
    view = views("tarnfield-lowmoor-36")[0]
    chart = next(chart for chart in charts_of(view, "blower"))
    assert not chart.empty
    assert isinstance(chart.picture, Plot)
    assert all(curve.mark != "S" for curve in chart.picture.curves)
    assert "Supply static, cooling" in chart.missing


def _renamed(view: View, label: str) -> View:
    """The same visit at a unit whose file says this for every label."""
    data = view.equipment
    renamed: Equipment = data.model_copy(
        update={
            "blower": data.blower.model_copy(
                update={"tier": tuple(t.model_copy(update={"label": label}) for t in data.blower.tier)}
            ),
            "address": tuple(a.model_copy(update={"label": label}) for a in data.address),
            "setting": tuple(s.model_copy(update={"label": label}) for s in data.setting),
            "heater": tuple(h.model_copy(update={"label": label}) for h in data.heater),
            "topic": tuple(
                t.model_copy(
                    update={
                        "label": label,
                        "option": tuple(o.model_copy(update={"label": label}) for o in t.option),
                    }
                )
                for t in data.topic
            ),
        }
    )
    return look(renamed, view.state)


@pytest.mark.parametrize("unit", ["tarnfield-lowmoor-36", "sallowby-trine-60"])
def test_hostile_labels_are_harmless(unit: str) -> None:
    """Escapes, turned text, wide and piled letters: nothing acts, nothing runs over its place."""
    view = _renamed(signed(unit), HOSTILE)
    assert isinstance(view.ledger, Ledger)
    seen = ""
    for chart in charts_of(view):
        for columns, rows in [(1, 1), (30, 10), (76, 16), (116, 30), (250, 80)]:
            for coarse in (False, True):
                lines = drawn(chart, columns, rows, ascii=coarse)
                _fits(lines, columns, rows)
                seen += "".join(lines)
            table = as_table(chart, columns)
            _fits(table, columns, 10_000)
            seen += "".join(table)
    assert "漢" in seen
    for sign in "\u202e\u200d\x1b\r\t":
        assert sign not in seen


_FIGURE = st.floats(-1e6, 1e6, allow_nan=False)
_WORDS = st.text(max_size=30)
_PLOTS = st.builds(
    lambda curves, points, marks, spans: Plot(
        Axis("airflow", "airflow"),
        Axis("static_pressure", "static"),
        tuple(Curve(name, mark, tuple(line), highest=top) for name, mark, line, top in curves),
        tuple(Point(name, "P", x, y, abs(x), abs(y)) for name, x, y in points),
        tuple(Mark(along, at, name) for along, at, name in marks),
        tuple(Span("x", min(a, b), max(a, b), name) for a, b, name in spans),
    ),
    st.lists(
        st.tuples(
            _WORDS,
            st.sampled_from("ABCXYZ"),
            st.lists(st.none() | st.tuples(_FIGURE, _FIGURE), max_size=8),
            st.none() | _FIGURE,
        ),
        max_size=8,
    ),
    st.lists(st.tuples(_WORDS, _FIGURE, _FIGURE), max_size=4),
    st.lists(st.tuples(st.sampled_from(["x", "y"]), _FIGURE, _WORDS), max_size=4),
    st.lists(st.tuples(_FIGURE, _FIGURE, _WORDS), max_size=2),
)
_LINES = st.builds(
    lambda source, branches: OneLine(tuple(source), tuple(branches)),
    st.lists(_WORDS, max_size=3),
    st.lists(
        st.builds(
            lambda words, ends, loads: Branch(*words[:3], tuple(ends), tuple(loads), words[3]),
            st.lists(_WORDS, min_size=4, max_size=4),
            st.lists(_WORDS, max_size=3),
            st.lists(_WORDS, max_size=5),
        ),
        max_size=5,
    ),
)
_DOINGS = st.builds(Doing, _WORDS, st.sampled_from(["done", "open", "waits", "failed"]), _WORDS)
_ROUTES = st.builds(
    lambda stops: Route(tuple(stops)),
    st.lists(
        st.builds(
            lambda name, doings, cut, here: Stop(name, tuple(doings), cut, here),
            _WORDS,
            st.lists(_DOINGS, min_size=1, max_size=12),
            st.booleans(),
            st.booleans(),
        ),
        max_size=9,
    ),
)


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(_PLOTS, _LINES, _ROUTES),
    _WORDS,
    st.integers(1, 250),
    st.integers(1, 80),
    st.booleans(),
    st.sampled_from(["ip", "si"]),
)
def test_any_chart_whatever_can_be_drawn(
    picture: Plot | OneLine | Route, words: str, columns: int, rows: int, coarse: bool, system: str
) -> None:
    """Whatever figures and words it holds, inside its place."""
    table = Table(("a", words), ((words, words), ("", None)), ((words, words),))
    chart = Chart("any", words, picture, words, table, (words,), system)
    _fits(drawn(chart, columns, rows, ascii=coarse), columns, rows)
    _fits(as_table(chart, columns), columns, 10_000)


@given(st.text(max_size=60), st.integers(0, 40))
def test_text_takes_the_cells_that_it_is_said_to_take(text: str, cells: int) -> None:
    """Cut, padded and wrapped by cells, as the screen counts them."""
    assert width(padded(text, cells)) == cells
    assert all(width(line) <= max(1, cells) for line in wrapped(text, max(1, cells)))
    assert "".join(sign for sign, _ in letters(text)).isprintable() or not text.isascii()


def _rows(lines: list[str], *, coarse: bool) -> list[str]:
    """What stands right of the upright axis, from top to bottom."""
    corners = ("++", "+-", "+=") if coarse else ("└",)
    foot = next(n for n, line in enumerate(lines) if line.lstrip().startswith(corners))
    edge = len(lines[foot]) - len(lines[foot].lstrip()) + 1
    return [line[edge:] for line in lines[2:foot]]


def _column(lines: list[str], at: int) -> str:
    return "".join(line[at] if at < len(line) else " " for line in lines)


def _drawn(*curves: Curve, marks: tuple[Mark, ...] = (), coarse: bool = True) -> list[str]:
    """The lines between title and figures of a plot of ratios, 61 columns and 16 rows of it."""
    plot = Plot(Axis("ratio", "x"), Axis("ratio", "y"), curves, marks=marks)
    return drawn(Chart("c", "title", plot), 65, 22, ascii=coarse)


def test_a_straight_line_is_straight() -> None:
    """From corner to corner, a mark in every column, on every row."""
    plot = _rows(_drawn(Curve("a", "A", ((0.0, 0.0), (10.0, 10.0)))), coarse=True)
    assert plot[0].endswith("A")
    assert plot[-1].startswith("A")
    assert all("A" in row for row in plot)
    assert all("A" in _column(plot, at) for at in range(len(plot[0])))


def test_beyond_its_highest_a_curve_is_small() -> None:
    """Capitals up to it, small letters after it."""
    plot = _rows(_drawn(Curve("a", "A", ((0.0, 10.0), (10.0, 0.0)), highest=5.0)), coarse=True)
    small = [n for n, row in enumerate(plot) if "a" in row]
    capital = [n for n, row in enumerate(plot) if "A" in row]
    assert small
    assert capital
    assert max(small) <= min(capital)


def test_a_gap_is_left_blank() -> None:
    """Nothing is drawn between two points with a gap between them."""
    plot = _rows(
        _drawn(Curve("a", "A", ((0.0, 5.0), (4.0, 4.0), None, (6.0, 2.0), (10.0, 0.0)))), coarse=True
    )
    wide = max(map(len, plot))
    assert _column(plot, wide // 2).strip() == ""
    assert _column(plot, wide // 4).strip() == "A"
    assert _column(plot, 3 * wide // 4).strip() == "A"


def test_two_curves_in_one_cell_are_marked_as_two() -> None:
    """Neither hides the other."""
    points = ((0.0, 1.0), (1.0, 0.5))
    text = "".join(_rows(_drawn(Curve("a", "A", points), Curve("b", "B", points)), coarse=True))
    assert set(text) == {" ", "*"}


def test_fine_curves_differ_by_dash_and_letter() -> None:
    """A dashed one has gaps, a solid one none; each has its letter on it."""
    solid = "".join(_drawn(Curve("a", "A", ((0.0, 5.0), (10.0, 5.0))), coarse=False))
    dashed = "".join(_drawn(Curve("b", "B", ((0.0, 5.0), (10.0, 5.0)), "dotted"), coarse=False))

    def dots(text: str) -> int:
        return sum((ord(sign) - 0x2800).bit_count() for sign in text if 0x2800 < ord(sign) < 0x2900)

    assert 0 < dots(dashed) < 0.7 * dots(solid)
    assert "A" in solid
    assert "B" in dashed


def test_the_name_of_a_mark_hides_no_curve() -> None:
    """Where there is no free place beside its line it goes to the key."""
    curve = Curve("a", "A", ((0.0, 0.0), (10.0, 10.0)))
    bare = _drawn(curve)
    named = _drawn(curve, marks=(Mark("x", 5.0, "mark"), Mark("y", 5.0, "limit")))
    text = "\n".join(named)
    assert "mark" in text
    assert "limit" in text
    assert sum(line.count("A") for line in bare) == sum(line.count("A") for line in named)


def test_the_axes_bear_round_figures_and_units() -> None:
    """Steps of 1, 2, 2.5 or 5 times a power of ten."""
    plot = Plot(
        Axis("airflow", "airflow"),
        Axis("static_pressure", "static"),
        (Curve("a", "A", ((0.2265, 24.9), (0.6182, 249.0))),),
    )
    lines = drawn(Chart("c", "t", plot), 76, 20, ascii=True)
    assert lines[1].split() == ["^", "static,", "in.", "w.c.", ">", "airflow,", "cfm"]
    assert [line.split("+")[0].strip() for line in lines[2:] if "+" in line[:5]][:-1] == [
        "1",
        "0.8",
        "0.6",
        "0.4",
        "0.2",
        "0",
    ]
    assert lines[-2].split() == ["600", "800", "1000", "1200"]


def test_a_chart_of_nothing_is_empty() -> None:
    """Gaps alone are no curve."""
    chart = charts_of(signed("quillfen-heron"), "blower")[0]
    assert isinstance(chart.picture, Plot)
    bare = replace(chart.picture, curves=tuple(replace(c, points=(None, None)) for c in chart.picture.curves))
    assert replace(chart, picture=bare).empty
