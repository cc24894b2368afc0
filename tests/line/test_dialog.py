"""The wizard as questions and answers: how it asks, what it takes, what it refuses."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.face.rows import Row
from asleft.line.dialog.question import Question
from asleft.session.acts import Enter
from asleft.session.ledger import Ledger
from asleft.unattended import Job, begin
from played import UNIT
from talking import talk, turns

Played = Callable[[str], Job]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit with a virtual unit."""
    made = begin(tmp_path / "visits", find(UNIT), 3)
    yield made
    made.close()


def test_it_says_once_which_job_it_is_what_is_saved_and_what_is_open(job: Job) -> None:
    """Then it asks what is next: what, why, where, the caution of the pane, and what may be answered."""
    job.visit.enter("identity.technician", "Ada")
    code, text = talk(job.visit, ["Mill Lane", "Lowmoor LM36E"])
    assert code == 0
    for once in ("asleft, demo: Tarnfield Lowmoor LM36E", "Open findings: ", "1 entry saved, not signed, in"):
        assert text.count(once) == 1
    assert str(job.visit.path) in text.splitlines()[3]
    site, model, serial = text.split("\n\nUnit identity. ")[1:4]
    assert site.splitlines() == [
        "Enter: Site.",
        "Why: Name or address of the place, as the office knows it.",
        "Caution: Qualified persons only; local code and the maker's instructions",
        "govern.",
        "Answer: a few words.",
        "> Mill Lane",
        "Site: Mill Lane, saved as entry 2.",
    ]
    assert "Caution" not in model + serial
    assert "  ID-1 unit passes: " in model


def test_a_reading_is_echoed_in_both_systems_with_the_number_of_its_entry(played: Played) -> None:
    """The unit that a bare number means is named; the state of the unit and its caution stand with it."""
    job = played("blower.static.supply")
    n = job.visit.view.state.last_n
    _, text = talk(job.visit, ["0.4"])
    asked, answered = turns(text)[:2]
    assert "State of the unit: Blower running, no heat" in asked
    assert "Caution: Keep clear of the wheel" in asked
    assert asked.endswith("Answer: a number in in. w.c., or with its unit.\n")
    assert answered.startswith(
        f"0.4\nSupply static, cooling: 0.40 in. w.c. (100 Pa), saved as entry {n + 1}.\n"
    )
    _, text = talk(job.visit, [".undo", "y", "120"], system="si")
    assert "Answer: a number in Pa, or with its unit." in text
    assert f": 120 Pa (0.48 in. w.c.), saved as entry {n + 3}.\n" in text


def test_choices_have_numbers_or_letters_where_a_choice_begins_with_a_digit(job: Job) -> None:
    """Number, letter and name pick one and are recorded as the name; the echo says which it was."""
    for left in ("technician", "site", "model", "serial"):
        job.visit.enter(f"identity.{left}", "Lowmoor LM36E")
    _, text = talk(job.visit, ["2", "b", "SPLIT"])
    orientation, supply, system, _, _ = turns(text)
    assert "\n  1. upflow\n  2. downflow\n" in orientation
    assert "\nAnswer: the number or the name of one.\n" in orientation
    assert "\nOrientation as installed: downflow, saved as entry 5.\n" in supply
    assert "\n  a. 240\n  b. 208\nAnswer: the letter or the name of one.\n" in supply
    assert "\nSupply declared: 208, saved as entry 6.\n" in system
    events = job.visit.view.state.history
    assert [e.written()["typed"] for e in events[-3:]] == ["downflow", "208", "split"]


def test_a_name_wins_over_a_key() -> None:
    """A choice that is called like the key of another is picked by its name."""
    asked = Question(Row(Enter("x"), "X"), "identity", True, ("z", "b", "3"))
    assert asked.keys == ("a", "b", "c")
    assert [asked.answer(t) for t in ("a", "B", "3", "c", "d")] == ["z", "b", "3", "3", "d"]
    many = Question(Row(Enter("x"), "X"), "identity", True, tuple(f"{n} V" for n in range(28)))
    assert many.keys[25:] == ("z", "aa", "ab")


def test_a_choice_says_of_every_option_what_it_would_do_and_enter_takes_the_recommended(
    played: Played,
) -> None:
    """A sentence an option instead of a table; why it is recommended; nothing else is taken by Enter."""
    job = played("choose:tier")
    view = job.visit.view
    _, text = talk(job.visit, [""])
    asked, taken = turns(text)[:2]
    assert f"Why: {view.next.why[:40]}" in asked
    outlook = view.forecast.topics["tier"]
    for n, option in enumerate(outlook.outlooks, 1):
        assert f"  {n}. {option.label}: airflow " in asked
    best = outlook.of(outlook.recommended)
    assert best is not None
    assert asked.count("recommended") == 1
    assert asked.endswith(f"Enter alone takes: {best.label}\n")
    assert f"\nBlower tier: {best.label}, saved as entry " in taken
    chosen = job.visit.view.ledger.chosen(view.equipment.topic_of("tier"))  # type: ignore[arg-type]
    assert chosen is not None
    assert chosen.id == outlook.recommended


def test_enter_alone_takes_nothing_where_nothing_is_offered(played: Played) -> None:
    """Not for a reading, not for power, not for a safety point, not for what a control shows."""
    for left in ("identity.technician", "power", "acknowledge:", "found:", "wrote:", "read_back:"):
        job = played(left)
        before = job.visit.path.read_bytes()
        _, text = talk(job.visit, [""])
        assert "Enter alone" not in text
        assert "Nothing is offered here. Answer: " in text
        assert job.visit.path.read_bytes() == before


def test_safety_points_are_read_out_in_full_and_want_a_yes(played: Played) -> None:
    """However often; `n` is refused with what would be right, and it is asked again."""
    job = played("acknowledge:EL-18")
    _, text = talk(job.visit, ["n", "y"])
    asked, refused, taken = turns(text)[:3]
    assert "Acknowledge: you are qualified, wear what your employer" in asked
    assert "Caution: No number here proves a circuit dead." in asked
    assert "Not taken: EL-18 is not acknowledged by no; type yes when it is done.\n" in refused
    assert "Still asked: Acknowledge: you are qualified" in refused
    assert "EL-18 unit passes" in taken


def test_a_write_is_asked_with_every_step_and_its_caution(played: Played) -> None:
    """The maker's words in order; what the control shows is typed, never taken for granted."""
    job = played("wrote:")
    place = job.visit.view.next.enter.removeprefix("wrote:")
    (step,) = (s for s in job.visit.view.plan if (s.do, s.place) == ("write", place))
    assert step.how
    _, text = talk(job.visit, [])
    one_line = " ".join(text.split())
    places = [one_line.index(" ".join(words.split())) for words in step.how]
    assert places == sorted(places)
    assert "Caution: Changing a setting can start the unit" in one_line
    assert "Answer: what the control shows, once it is set." in text


def test_power_is_off_only_when_somebody_says_so(played: Played) -> None:
    """`off` or its number; anything else is refused, and readings with power on then say so."""
    job = played("power")
    _, text = talk(job.visit, ["of course", "1", ".enter electrical.line.l1_l2=240 V"])
    assert "Not taken: 'of course' is none of the choices of power; one of: on, off." in text
    assert "Power at the unit: off, saved as entry" in text
    assert "is taken with power on, and power is off; power=on first." in " ".join(text.split())


def test_a_refused_value_says_what_would_be_right_and_asks_again(job: Job) -> None:
    """Nothing is saved; the next answer is for the same question."""
    job.visit.enter("identity.technician", "Ada")
    _, text = talk(job.visit, [".go identity.altitude", "1,5", "high", "120 V", "120 m"])
    comma, word, volts, metres = turns(text)[2:6]
    assert "a comma is never part of a number" in comma
    assert "Not taken: 'high'" in word
    assert "'V' is a unit of voltage" in volts
    for refused in (comma, word, volts):
        assert "Still asked: Altitude of the site." in refused
    assert "Altitude of the site: 393.7 ft (120.00 m), saved as entry 2." in metres
    assert [e.kind for e in job.visit.view.state.history] == ["entered", "entered"]


def test_verdicts_that_changed_are_told_worst_first_with_what_to_do(job: Job) -> None:
    """In words; a failure says what to do; what passes comes after it."""
    _, text = talk(job.visit, [".enter identity.model=Nonsense 1", ".why"])
    told = turns(text)[1]
    assert "ID-1 unit FAILS: The plate says Nonsense 1" in told
    assert "Do: Read the plate again" in told
    assert "SO-2" not in told
    why = turns(text)[2]
    assert "ID-1 unit (correct): fail" in why
    for word in ("Rule: ", "Source: ", "Why: ", "Usual causes: "):
        assert word in why


def test_a_write_says_what_has_to_be_judged_again(played: Played) -> None:
    """In one sentence, not a line each."""
    job = played("wrote:")
    following = job.visit.view.next
    code = job.visit.view.equipment.code_of(following.setting, following.value)
    _, text = talk(job.visit, [code.shown if code else following.value])
    assert text.count("To be judged again, ") == 1


def test_the_end_says_how_it_is_left_and_signing_ends_the_questions(played: Played) -> None:
    """Enter alone takes the outcome offered, then leaves; both are said."""
    job = played("sign")
    while job.visit.view.next.do != "sign":
        job.visit.submit(*act(job.visit.view, job.rig))
    _, text = talk(job.visit, ["", ""])
    asked, signed, left = turns(text)
    assert asked.endswith("Enter alone takes: commissioned\n")
    assert "Signature: commissioned, saved as entry" in signed
    assert signed.endswith("Nothing more is asked. Enter alone leaves.\n")
    assert left.startswith("\nLeft; ")
    assert "entries saved, signed commissioned, in\n" in left
    _, text = talk(job.visit, ["what", ".note Filter ordered", "", ""])
    assert "Not taken: nothing is asked." in text
    assert "saved, not signed, in" not in turns(text)[-1]


def test_the_end_of_the_input_leaves_in_good_order(job: Job) -> None:
    """Exit code 0; what is saved, where, and whether it is signed."""
    code, text = talk(job.visit, ["Ada"])
    assert code == 0
    assert text.endswith(f"The input ended.\nLeft; 1 entry saved, not signed, in\n  {job.visit.path}\n")


def test_an_instrument_is_picked_from_those_that_are_known(played: Played) -> None:
    """By number with its name, or described in one line."""
    job = played("identity.instrument.meter")
    meters = [i for i in job.visit.instruments.values() if i.role == "meter"]
    _, text = talk(job.visit, ["1", ".undo", "y", "Mine | voltage 0.5 % | 2031-01-01"])
    assert f"  1. {meters[0].id}: {meters[0].name}" in text
    assert "or NAME | ACCURACY | YYYY-MM-DD for your own." in " ".join(text.split())
    assert f"Meter: {meters[0].id}, saved as entry" in text
    used = job.visit.view.state.instrument("meter")
    assert used is not None
    assert used.name == "Mine"


def test_a_reading_to_be_taken_again_says_so(played: Played) -> None:
    """As found stands beside it."""
    job = played("read_back:")
    while job.visit.view.next.do != "measure_again":
        job.visit.submit(*act(job.visit.view, job.rig))
    field = job.visit.view.next.field
    ledger: Ledger = job.visit.view.ledger
    assert ledger.stale(field)
    _, text = talk(job.visit, [])
    assert "Measure again: " in text
    assert "\nAs found: " in text
