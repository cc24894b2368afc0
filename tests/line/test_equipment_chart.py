"""The plot of fan tables shows what the tables say."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.line.equipment import show_unit
from asleft.line.equipment_chart import CROSSING, Curve, chart
from equipment.sample import SAMPLE, spoilt


def _column(lines: list[str], at: int) -> str:
    return "".join(line[at] if at < len(line) else " " for line in lines)


def test_a_straight_line_is_straight() -> None:
    """From corner to corner, a mark in every column, on every row."""
    lines = list(chart([Curve("a", ((0.0, 0.0), (10.0, 10.0)))], "x", "y"))
    plot = [line.partition("┤")[2] or line.partition("│")[2] for line in lines[1:-2]]
    assert plot[0].rstrip().endswith("A")
    assert plot[-1].startswith("A")
    assert len(plot[0].rstrip()) == 61
    assert all("A" in row for row in plot)


def test_beyond_its_last_static_a_curve_is_small() -> None:
    """Capitals up to it, small letters after it."""
    lines = list(chart([Curve("a", ((0.0, 5.0), (10.0, 0.0)), last=5.0)], "x", "y"))
    marks = sorted((line.index(mark), mark) for line in lines[1:-2] for mark in "Aa" if mark in line)
    firsts = [at for at, mark in marks if mark == "a"]
    assert firsts
    assert all(at < min(firsts) for at, mark in marks if mark == "A")


def test_a_blank_cell_is_a_gap() -> None:
    """Nothing is drawn between two rows of which one is blank."""
    lines = list(
        chart([Curve("a", ((0.0, 5.0), (4.0, 4.0), (5.0, None), (6.0, 2.0), (10.0, 0.0)))], "x", "y")
    )
    plot, edge = lines[1:-2], lines[-2].index("└") + 1
    assert _column(plot, edge + 30).strip(" │┤") == ""
    assert _column(plot, edge + 20).strip(" │┤") == "A"
    assert _column(plot, edge + 40).strip(" │┤") == "A"


def test_two_curves_in_one_place_are_marked_as_two() -> None:
    """Neither hides the other."""
    points = ((0.0, 1.0), (1.0, 0.5))
    text = "\n".join(chart([Curve("a", points), Curve("b", points)], "x", "y"))
    assert CROSSING in text
    assert "A" not in text
    assert "B" not in text


def test_the_axes_bear_round_figures_round_the_points() -> None:
    """Steps of 1, 2, 2.5 or 5 times a power of ten."""
    lines = list(chart([Curve("a", ((0.1, 1310.0), (1.0, 480.0)))], "in. w.c.", "cfm"))
    assert [line.split("┤")[0].strip() for line in lines if "┤" in line] == [
        *("1400", "1200", "1000", "800", "600", "400")
    ]
    assert lines[-1].split() == ["0", "0.2", "0.4", "0.6", "0.8", "1", "in.", "w.c."]


def test_nothing_to_draw_draws_nothing() -> None:
    """A table of blanks has no plot."""
    assert list(chart([Curve("a", ((0.0, None), (1.0, None)))], "x", "y")) == []


_FIGURES = st.floats(0.0, 5000.0, allow_nan=False)


@given(
    st.lists(
        st.lists(
            st.tuples(_FIGURES, st.none() | _FIGURES), min_size=2, max_size=12, unique_by=lambda p: p[0]
        ),
        min_size=1,
        max_size=30,
    )
)
def test_any_tables_can_be_drawn(tables: list[list[tuple[float, float | None]]]) -> None:
    """Whatever the figures, lines of one width at most and only what prints."""
    lines = list(chart([Curve("t", tuple(sorted(points))) for points in tables], "x", "y"))
    assert all(line.isprintable() and len(line) <= 90 for line in lines)
    if any(y is not None for points in tables for _, y in points):
        assert len(lines) == 19


LEGEND = {
    "ip": ["  A  Low (low), to 0.60 in. w.c.", "  B  High (high)"],
    "si": ["  A  Low (low), to 149 Pa", "  B  High (high)"],
}
"""0.60 in. w.c. of 249.089 Pa are 149.45 Pa."""


@pytest.mark.parametrize("system", ["ip", "si"])
def test_the_page_draws_every_tier_once(system: str, tmp_path: Path) -> None:
    """In the units asked for, with a line that says whose letter is whose."""
    path = tmp_path / "unit.toml"
    path.write_text(SAMPLE, "utf-8")
    out = io.StringIO()
    assert show_unit(str(path), system=system, out=out) == 0
    plot = out.getvalue().split("Fan tables, cooling\n")[1].split("\n\n")[0]
    assert plot.splitlines()[0].strip() == {"ip": "cfm", "si": "L/s"}[system]
    assert [line for line in plot.splitlines() if "(" in line] == LEGEND[system]


def test_a_pattern_from_the_file_cannot_act_on_the_terminal(tmp_path: Path) -> None:
    """Even where the file may hold any character, the page is plain."""
    path = tmp_path / "unit.toml"
    path.write_text(spoilt("R3-[0-9]{4}", "R3\\u001b\\\\[2J"), "utf-8")
    out = io.StringIO()
    assert show_unit(str(path), out=out) == 0
    assert out.getvalue().replace("\n", "").isprintable()
