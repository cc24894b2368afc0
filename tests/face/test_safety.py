"""What the rows say of what comes before hands, power and live readings."""

from __future__ import annotations

import pytest

from asleft.face.rows import Row
from asleft.face.rows.safety import power_row, safety_rows
from asleft.session.acts import parse
from checks.visits import happens
from face.stages import BEGUN, DONE, IDLE, ISOLATED, PAPERS, seen

CAUTION = "No number here proves a circuit dead. Two or three breakers may feed it."
OFF, ON = happens("powered", state="off"), happens("powered", state="on")
DO = {
    "EL-1": (
        "Isolation",
        "Acknowledge: every source is found, opened, locked and tagged, and stored energy is gone.",
    ),
    "EL-18": (
        "Ready for live readings",
        "Acknowledge: you are qualified, wear what your employer asks, and meter and leads are rated for this"
        " circuit and undamaged.",
    ),
    "EL-19": (
        "Clear to energise",
        "Acknowledge: tools and people are clear, covers are on, and each lock was taken off by its owner.",
    ),
}


def asked(id: str, now: str, verdict: str) -> Row:
    """The row of an acknowledgement."""
    title, do = DO[id]
    return Row(
        parse(f"acknowledge:{id}"),
        title,
        now=now,
        verdict=verdict,
        group="Before hands, power and live readings" if id == "EL-1" else "",
        help="Type yes when all of it is so.",
        choices=("yes",),
        details=(do,),
        caution=CAUTION,
        findings=(f"{id} unit",),
        done=now == "yes",
    )


def power(state: str, group: str = "") -> Row:
    """The row of the power."""
    return Row(
        parse("power"),
        "Power at the unit",
        now=state,
        group=group,
        help="Type off or on as you switch it. Until somebody says, a unit counts as on.",
        choices=("off", "on"),
        caution=CAUTION,
        done=True,
    )


ASKED, GIVEN, NONE = ("", "asked for"), ("yes", "given"), ("", "n/a")


@pytest.mark.parametrize(
    ("stage", "words", "state"),
    [
        (BEGUN, (NONE, ASKED, ASKED), "on"),
        (PAPERS, (NONE, ASKED, ASKED), "on"),
        (ISOLATED, (GIVEN, ASKED, ASKED), "off"),
        (IDLE, (NONE, GIVEN, GIVEN), "on"),
        (DONE, (NONE, GIVEN, GIVEN), "on"),
    ],
)
def test_what_is_asked_given_or_not_needed_stands_before_the_power(
    stage: str, words: tuple[tuple[str, str], ...], state: str
) -> None:
    """In the order in which a person meets them."""
    rows = list(safety_rows(seen(stage)))
    assert rows == [*(asked(id, *said) for id, said in zip(DO, words, strict=True)), power(state)]


def test_power_off_asks_anew_for_isolation_and_for_what_clears() -> None:
    """Off, given, on again: it lapsed."""
    off = seen(IDLE, OFF)
    assert [r.verdict for r in safety_rows(off)] == ["asked for", "given", "asked for", ""]
    again = seen(IDLE, OFF, happens("acknowledged", id="EL-1"), ON)
    assert [r.verdict for r in safety_rows(again)] == ["n/a", "given", "asked for", ""]


def test_the_power_may_head_a_group() -> None:
    """On the pane of the sequence it does."""
    assert power_row(seen(PAPERS), "Power") == power("on", "Power")
