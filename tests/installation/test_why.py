"""A recommendation says why it is better than the next best."""

from __future__ import annotations

import pytest

from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from checks.visits import visit


@pytest.mark.parametrize(
    ("role", "says"),
    [
        ("blower-tier", "next best Full"),
        ("auxiliary-delay", "28 minutes would let it fall 2.8 °F"),
        ("outdoor-lockout", "25.0 °F would leave it short"),
        ("auxiliary-heat", "First stage only would give 50% of its heat"),
        ("heat-in-defrost", "without it air of"),
        ("heat-on-lost-communication", "less than 85 %"),
        ("blower-run-on", "would be less"),
        ("restart", "would take 1 more write"),
    ],
)
def test_the_runner_up_is_named_with_what_it_would_do(role: str, says: str) -> None:
    """In people's units, beside the figure of the one recommended."""
    ledger = visit().ledger
    topic = forecast(ledger, estimate(ledger)).role(role)
    assert topic is not None
    assert says in topic.why
