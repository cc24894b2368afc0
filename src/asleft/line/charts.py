"""`asleft check FILE --charts`: every chart of a session, drawn in plain characters and as a table."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.charts import as_table, charts_of, drawn
from asleft.charts.table import table_lines
from asleft.line.check import code_of
from asleft.line.reading import read_session
from asleft.line.text import WIDTH, plain, say_all, wrapped

if TYPE_CHECKING:
    from asleft.charts import Chart
    from asleft.line.reading import Read

ROWS = 28
"""Lines of a picture; two stand on a printed page."""


def run(path: Path, *, system: str = "ip") -> int:
    """Print the charts and give the code that `check` gives. Raises what reading a session raises."""
    found = read_session(path, system)
    say_all(as_text(found))
    return code_of(found)


def as_text(found: Read) -> Iterator[str]:
    """The charts, a line a string; first what is wrong with the file, if anything is."""
    yield plain(found.path.name)
    if found.contents.trouble:
        yield wrapped(f"Chain {found.chain}: {found.contents.trouble}")
    if found.view is None:
        yield "Nothing in it can be drawn."
        return
    for chart in charts_of(found.view):
        yield ""
        yield from chart_text(chart)


def chart_text(chart: Chart) -> Iterator[str]:
    """A picture that any printer keeps and the table below it; the table alone where nothing can be drawn."""
    if chart.empty:
        yield from as_table(chart, WIDTH)
        return
    yield from drawn(chart, WIDTH, ROWS, ascii=True)
    yield ""
    yield from table_lines(chart, WIDTH)
