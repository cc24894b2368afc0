"""University course, "Homework 6: Fan Laws", with its answers (scribd.com/doc/262289512).

Seen as an excerpt, the sheet whole.
"""

from __future__ import annotations

import pytest

from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("wanted", "unit", "answer"),
    [("airflow", "cfm", "4500"), ("static", "in. w.c.", "2.25"), ("power", "hp", "2.53")],
)
def test_question_1(wanted, unit, answer):
    """A fan of 6000 cfm, 4 in. and 6 hp is slowed from 2000 to 1500 r/min."""
    typed = {"airflow": "6000 cfm", "static": "4 in wc", "power": "6 hp", "speed_ratio": repr(1500 / 2000)}
    assert result("fan-law", wanted, unit, **typed) == printed(answer)


@pytest.mark.parametrize(
    ("wanted", "unit", "answer"),
    [("airflow", "cfm", "2308"), ("static", "in. w.c.", "3.99"), ("power", "kW", "1.54")],
)
def test_question_2(wanted, unit, answer):
    """A fan of 2000 cfm, 3.00 in. and 1.0 kW at 1300 is run at 1500."""
    typed = {"airflow": "2000 cfm", "static": "3.00 in wc", "power": "1.0 kW"}
    assert result("fan-law", wanted, unit, speed_ratio=repr(1500 / 1300), **typed) == printed(answer)
