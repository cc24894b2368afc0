"""EC&M magazine (ecmweb.com): code quizzes 6 and 23, and "Basics of calculating voltage drop".

ecmweb.com/quizzes/code-quiz-6 and ecmweb.com/content/quizzes-code-23, seen as excerpts, questions and answers
whole; the article on voltage drop at second hand. The quizzes leave terminals aside, so the terminals are
taken at the insulation's own rating.
"""

from __future__ import annotations

import pytest

from asleft.calc import line_drop
from published.printed import printed, result

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("size", "ambient", "conductors", "amperes"),
    [
        pytest.param("12 AWG", "30 degC", "9", "21", id="quiz 23: nine 12 THHN in one tube"),
        pytest.param("14 AWG", "105 degF", "6", "17.4", id="quiz 23: six 14 THHN at 105 F"),
        pytest.param("12 AWG", "30 degC", "30", "13.5", id="quiz 6: thirty 12 THHN in a floor raceway"),
    ],
)
def test_derated_ampacity(size, ambient, conductors, amperes):
    """Insulation of 90 degC, derated for ambient and company."""
    found = result(
        "conductor-ampacity",
        "ampacity",
        size=size,
        termination="90 degC",
        ambient=ambient,
        conductors=conductors,
    )
    assert found == printed(amperes)


def test_three_phase_drop():
    """1.1 ohm/kft, 200 ft, 20 A on 480 V: 7.62 V; the article's 7.7 rounds 4.4 x 1.732 = 7.62 upward.

    We differ from the 7.7 that it prints: the product of its own factors is 7.62.
    """
    drop = line_drop(20.0, 200 * 0.3048, 1.1 / 304.8, 3)
    assert drop == printed("7.62")
    assert printed("7.62") == 1.732 * 20 * 200 * 1.1 / 1000
    assert drop != printed("7.7")
