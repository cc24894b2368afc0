"""One description of a chart, drawn in plain characters or written as a table."""

from asleft.charts.chart import Chart
from asleft.charts.draw import drawn
from asleft.charts.listing import CHARTS, chart_for, charts_of
from asleft.charts.table import as_table

__all__ = ["CHARTS", "Chart", "as_table", "chart_for", "charts_of", "drawn"]
