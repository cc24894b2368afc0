"""Charts of a visit for a page: the picture, its key, and the same as a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from asleft.charts import charts_of
from asleft.charts.chart import Amount, Plot
from asleft.charts.words import bare, shown
from asleft.quantity import unit_of
from asleft.review.report.svg import Keyed, as_svg, keys

if TYPE_CHECKING:
    from asleft.charts import Chart
    from asleft.charts.chart import Cell
    from asleft.review.report.safe import Safe
    from asleft.visit import View


class Table(NamedTuple):
    """Heads and rows of words; columns with nothing in them are left out."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Picture(NamedTuple):
    """One chart; `svg` is empty where there is nothing to draw yet."""

    id: str
    title: str
    note: str
    svg: str
    keys: tuple[Keyed, ...]
    table: Table
    facts: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]


def pictures(view: View, safe: Safe) -> Iterator[Picture]:
    """Every chart with axes, and of the circuits the table alone."""
    for chart in charts_of(view):
        plot = chart.picture if isinstance(chart.picture, Plot) else None
        if plot is None and chart.id != "wiring":
            continue
        drawn = plot is not None and not plot.empty
        table = _table(chart)
        yield Picture(
            chart.id,
            chart.title,
            chart.note,
            as_svg(plot, chart.system, chart.id, chart.title, chart.note, safe) if plot and drawn else "",
            tuple(keys(plot)) if plot and drawn else (),
            table,
            tuple((name, shown(cell, chart.system)) for name, cell in chart.table.facts),
            chart.missing,
        )


def _table(chart: Chart) -> Table:
    columns = [
        column
        for head, cells in zip(chart.table.heads, zip(*chart.table.rows, strict=True), strict=False)
        if any((column := _column(head, cells, chart.system))[1])
    ]
    if not columns:
        return Table((), ())
    rows = zip(*(cells for _, cells in columns), strict=True)
    return Table(tuple(head for head, _ in columns), tuple(rows))


def _column(head: str, cells: tuple[Cell, ...], system: str) -> tuple[str, tuple[str, ...]]:
    """A head and its cells; the unit stands in the head where everything below is of one kind."""
    kinds = {cell.kind for cell in cells if isinstance(cell, Amount)}
    if len(kinds) == 1 and not any(isinstance(cell, str) for cell in cells):
        unit = unit_of(kinds.pop(), system)
        figures = tuple(bare(cell, system) if isinstance(cell, Amount) else "" for cell in cells)
        return (f"{head}, {unit}" if unit else head), figures
    return head, tuple(shown(cell, system) for cell in cells)
