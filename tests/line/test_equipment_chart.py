"""The plot of fan tables shows what the tables say."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from asleft.line.equipment import show_unit
from equipment.sample import SAMPLE, spoilt

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
    assert plot.splitlines()[0].split()[-1] == {"ip": "cfm", "si": "L/s"}[system]
    assert [line for line in plot.splitlines() if "(" in line] == LEGEND[system]


def test_a_pattern_from_the_file_cannot_act_on_the_terminal(tmp_path: Path) -> None:
    """Even where the file may hold any character, the page is plain."""
    path = tmp_path / "unit.toml"
    path.write_text(spoilt("R3-[0-9]{4}", "R3\\u001b\\\\[2J"), "utf-8")
    out = io.StringIO()
    assert show_unit(str(path), out=out) == 0
    assert out.getvalue().replace("\n", "").isprintable()
