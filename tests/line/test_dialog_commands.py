"""The commands of the wizard as text, one by one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.drill.answers import RigError
from asleft.drill.rig import BuiltIn
from asleft.equipment.library import find
from asleft.help import pages
from asleft.line.dialog.commands import COMMANDS
from asleft.session.acts import FORMS
from asleft.session.fields import PANES
from asleft.unattended import Job, begin
from asleft.unattended.jobs import virtual_unit
from played import UNIT
from talking import talk, turns

Played = Callable[[str], Job]


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """An empty visit with a virtual unit."""
    made = begin(tmp_path / "visits", find(UNIT), 3)
    yield made
    made.close()


def said(job: Job, *typed: str, **more: Any) -> list[str]:
    """What was written after each of these lines, in one line each; the typed line is left off."""
    _, text = talk(job.visit, typed, **more)
    return [" ".join(turn.partition("\n")[2].split()) for turn in turns(text)[1 : len(typed) + 1]]


def test_help_lists_every_command_and_every_page(job: Job) -> None:
    """Each with what it takes and a few words."""
    (text,) = said(job, ".help")
    for name, command in COMMANDS.items():
        assert f".{name}{' ' if command.takes else ''}{command.takes}: {command.help}" in text
    assert f"Pages for .help NAME: {', '.join(pages())}." in text


@pytest.mark.parametrize("subject", pages())
def test_every_page_of_help_is_shown_without_its_marks(subject: str, job: Job) -> None:
    """By its name; headings, stars and backquotes are gone."""
    (text,) = said(job, f".help {subject}")
    assert len(text) > 200
    assert "**" not in text
    assert "`" not in text
    assert "# " not in text


def test_help_of_a_pane_is_found_by_its_title_and_an_unknown_page_is_refused(job: Job) -> None:
    """With the names of those that there are."""
    by_title, unknown = said(job, ".help Sign-off", ".help plumbing")
    assert "Sign-off" in by_title
    assert "Not taken: there is no page 'plumbing'; one of: " in unknown


def test_a_command_that_is_none_says_where_they_are_listed(job: Job) -> None:
    """Near ones are named; nothing is entered."""
    wrong, text = said(job, ".undp", ".hidden files")
    assert ".undp is no command; did you mean .undo?" in wrong
    assert "A text that begins with a dot goes in with .enter LEFT=TEXT." in text
    assert job.visit.view.state.last_n == 0
    (entered,) = said(job, ".ENTER note=.hidden files")
    assert "Add a remark: .hidden files, saved as entry 1." in entered


def test_a_dot_before_a_digit_is_a_number(played: Played) -> None:
    """As people write half an inch."""
    (text,) = said(played("blower.static.supply"), ".5")
    assert "Supply static, cooling: 0.50 in. w.c. (125 Pa), saved as entry" in text


def test_again_reads_the_question_out_again(job: Job) -> None:
    """In full, where after other commands a reminder is enough."""
    where, again = said(job, ".where", ".again")
    assert where.endswith("Still asked: Enter: Technician.")
    assert "Unit identity. Enter: Technician. Why: Name of the person" in again


def test_go_asks_a_field_an_act_or_a_row_and_next_goes_back(job: Job) -> None:
    """Once answered, what is next is asked again."""
    none, field, back, act, listed, row, answered = said(
        job, ".go 3", ".go identity.altitude", ".next", ".go power", ".list identity", ".go 2", "Mill Lane"
    )
    assert "Not taken: nothing is listed yet" in none
    assert field.startswith("Unit identity. Altitude of the site. Height above sea level.")
    assert back.startswith("Unit identity. Enter: Technician.")
    assert act.startswith("Electrical checks. Power at the unit.")
    assert "2. Site: open." in listed
    assert row.startswith("Unit identity. Site.")
    assert "Site: Mill Lane, saved as entry 1. Unit identity. Enter: Technician." in answered


def test_go_to_nothing_is_refused_with_what_is_near(job: Job) -> None:
    """A name, a number beyond the list, an empty line."""
    near, _, beyond, zero, empty = said(job, ".go identity.altitud", ".list", ".go 900", ".go 0", ".go")
    assert "did you mean identity.altitude?" in near
    assert "Not taken: 900 is no row; a number from 1 to " in beyond
    assert "Not taken: 0 is no row" in zero
    assert "Not taken: '' is nothing that can be asked here" in empty


def test_panes_tell_how_they_stand_and_list_their_rows(job: Job) -> None:
    """All in a line each; one by number, name, title or beginning."""
    job.visit.enter("identity.model", "Nonsense 1")
    every, *one, wrong = said(
        job, ".pane", ".pane 2", ".pane electrical", ".pane Electrical checks", ".pane el", ".pane 9"
    )
    assert "1. Unit identity: 1 failed 2. Electrical checks: " in every
    assert "Open findings: " in every
    assert len({text.partition(" Still")[0] for text in one}) == 1
    assert one[0].startswith("Electrical checks: 1. ")
    assert "Not taken: there is no pane '9'; one of: Unit identity, Electrical checks" in wrong


def test_every_pane_can_be_listed_and_every_row_gone_to(played: Played) -> None:
    """At the end of a visit, when all of them are full: a row that takes an entry can be asked."""
    job = played("signoff")
    for pane in PANES:
        (text,) = said(job, f".list {pane}")
        assert "1. " in text
    texts = said(job, ".list sequence", *(f".go {n}" for n in range(1, 6)))
    assert "as found" in texts[0]
    assert all(text.startswith("Setting sequence. ") for text in texts[1:])


def test_a_list_shows_as_found_and_as_left_and_the_verdict(played: Played) -> None:
    """Side by side where they differ."""
    job = played("read_back:")
    (text,) = said(job, ".list sequence")
    assert "as found c; as left d; meant d; read back." in text
    (text,) = said(job, ".list electrical")
    assert re.search(r"Line to line, heat off: as found and as left \d+\.\d V; pass\.", text)
    assert "Power at the unit: on." in text


def test_why_tells_working_and_source(played: Played) -> None:
    """Of what the last entry changed, else of the row asked, or of a finding by name."""
    job = played("electrical.line.l1_l2")
    _, last, _, row, named, wrong = said(
        job, "240 V", ".why", ".go identity.altitude", ".why", ".why ID-2/unit", ".why XX-1"
    )
    assert last.startswith("EL-2 unit (hold): pass")
    assert "Rule: " in last
    assert "Source: " in last
    assert row.startswith("ID-5 unit")
    assert named.startswith("ID-2 unit")
    assert "Not taken: 'XX-1' is no finding here" in wrong


def test_undo_and_redo_say_what_they_do_and_ask(job: Job) -> None:
    """Only yes does it; both are entries of their own."""
    nothing, _, asked, no, _, done, none, back, again = said(
        job, ".redo", "Ada", ".undo", "perhaps", ".undo", "y", ".undo", ".redo", "y"
    )
    assert "There is nothing to redo." in nothing
    assert "Undo: event 1, Technician: Ada. y does it. Answer: y or n." in asked
    assert "Not done." in no
    assert "Undo done: event 1, Technician: Ada. Saved as entry 2." in done
    assert "There is nothing to undo." in none
    assert "Redo: event 1, Technician: Ada. y does it." in back
    assert "Redo done: event 1, Technician: Ada. Saved as entry 3." in again
    assert job.visit.view.state.text("identity.technician") == "Ada"


def test_a_pending_undo_is_forgotten_by_anything_but_yes(job: Job) -> None:
    """The end of the input is no yes."""
    code, text = talk(job.visit, ["Ada", ".undo"])
    assert code == 0
    assert "Undo done" not in text
    assert job.visit.view.state.last_n == 1


def test_units_change_what_is_shown_and_what_a_bare_number_means(job: Job) -> None:
    """Back and forth, or by name."""
    _, si, taken, ip, wrong = said(
        job, ".go identity.altitude", ".units", "100", ".units ip", ".units furlongs"
    )
    assert "Units: SI." in si
    assert "Answer: a number in m, or with its unit." in si
    assert "Altitude of the site: 100.00 m (328.1 ft), saved as entry 1." in taken
    assert "Units: inch-pound." in ip
    assert "Not taken: 'furlongs' is no system of units; ip or si." in wrong


def test_cannot_notes_why_and_goes_on(played: Played) -> None:
    """A field, a setting, power; not a choice, not without a reason."""
    job = played("electrical.ground.resistance")
    without, noted = said(job, ".cannot", ".cannot no lead long enough")
    assert "Not taken: nothing says why; .cannot REASON." in without
    assert "cannot be done, no lead long enough, saved as entry" in noted
    assert job.visit.view.ledger.refused("electrical.ground.resistance")
    job = played("choose:")
    (refused,) = said(job, ".cannot nobody knows")
    assert "Not taken: only a field, power, a setting or a repair" in refused
    job = played("wrote:")
    (setting,) = said(job, ".cannot the ring is broken")
    assert "cannot be done, the ring is broken, saved as entry" in setting


def test_waive_and_mended_take_a_finding_and_a_text(job: Job) -> None:
    """What they may not do is refused as anywhere."""
    job.visit.enter("identity.model", "Nonsense 1")
    usage, waived, unknown, hold = said(
        job,
        ".waive ID-1/unit",
        ".waive ID-1/unit plate painted over",
        ".waive ZZ-9/unit why",
        ".waive EL-2/unit why",
    )
    assert "Not taken: write ID/SUBJECT, then why it may pass" in usage
    assert "plate painted over, saved as entry 2." in waived
    assert "Not taken: 'ZZ-9/unit' is no finding" in unknown
    assert "is a hold and nobody can waive it" in hold
    assert job.visit.view.state.waivers
    usage, mended = said(job, ".mended", ".mended ID-1/unit plate cleaned and read again")
    assert "then what was mended" in usage
    assert (
        "plate cleaned and read again, saved as entry 3. To be judged again, 2: ID-1 unit, SO-1 unit."
        in mended
    )


def test_waive_alone_is_about_what_is_asked(played: Played) -> None:
    """One finding is waived with the reason; of several or none it says what to write."""
    job = played("electrical.stage.1.to_frame")
    waived, goes_on = said(job, ".waive no insulation tester", ".again")
    assert "no insulation tester, saved as entry" in waived
    finding = job.visit.view.finding("EL-23 stage.1")
    assert finding is not None
    assert finding.waived
    assert job.visit.view.next.field != "electrical.stage.1.to_frame"
    assert "Stage 1 to the frame" not in goes_on
    job = played("electrical.insulation.electronics_off")
    (several,) = said(job, ".waive no insulation tester")
    assert "what is asked is about EL-23/stage.1, EL-23/stage.2." in several
    (none,) = said(job, ".go power", ".waive no reason")[1:]
    assert "nothing on it may be waived" in none


def test_note_and_enter_take_texts_and_acts_by_name(job: Job) -> None:
    """Whatever the visit takes can be entered so; what it does not is refused with its own words."""
    note, empty, act, wrong, unknown, broke = said(
        job,
        ".note Filter = 20 x 25, ordered",
        ".note",
        ".enter power=off",
        ".enter power",
        ".enter identity.colour=red",
        ".enter broke:EL-1=hands inside before it was locked",
    )
    assert "Add a remark: Filter = 20 x 25, ordered, saved as entry 1." in note
    assert "Not taken: nothing was typed; type a note." in empty
    assert "Power at the unit: off, saved as entry 2." in act
    assert "Not taken: 'power' is no act; .enter LEFT=VALUE" in wrong
    assert "'identity.colour' is no field of this unit" in unknown
    assert "saved as entry 3." in broke


def test_every_kind_of_act_reaches_the_visit_by_enter(job: Job) -> None:
    """None is refused for being unknown to the text wizard."""
    for words in FORMS:
        (text,) = said(job, f".enter {words.replace('FIELD', 'identity.site')}=zzz")
        assert "is not an act" not in text
        assert "is no act" not in text


def test_safety_points_entered_by_name_are_read_out_first(played: Played) -> None:
    """Nobody acknowledges what they did not hear."""
    (text,) = said(played("acknowledge:EL-18"), ".enter acknowledge:EL-18=yes")
    points, taken = text.index("Acknowledge: you are qualified"), text.index("saved as entry")
    assert text.index("Caution: No number here proves") < points < taken


class Odd(BuiltIn):
    """The unit of a seed that refuses the site and breaks down at the model."""

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Its own answer to everything else."""
        if request.get("field") == "identity.site":
            return {"refused": "no sign on the door"}
        if request.get("field") == "identity.model":
            raise RigError("The rig ended with exit code 1.")
        return super().ask(request)


def test_the_rig_is_asked_and_its_answer_is_offered(job: Job) -> None:
    """Taken by Enter, or replaced by what a person types; a refusal becomes a note; a breakdown is said."""
    rig = Odd(virtual_unit(find(UNIT), 3))
    first, taken, refused, typed, broken = said(job, ".rig", "", ".rig", "Mill Lane", ".rig", rig=rig)
    name = job.visit.view.state.text("identity.technician")
    assert first == f"Asking the rig. Rig: {name}; Enter takes it."
    assert f"Technician: {name}, saved as entry 1." in taken
    assert "Rig: refused, no sign on the door; Enter notes that it cannot be done." in refused
    assert "Site: Mill Lane, saved as entry 2." in typed
    assert "Rig: The rig ended with exit code 1. Go on by hand. Still asked: " in broken
    assert not job.visit.view.state.notes


def test_without_a_rig_or_against_a_hold_it_is_not_asked(played: Played) -> None:
    """As on the screen: the reason is said."""
    job = played("power")
    none, forbidden = (
        said(job, ".rig"),
        said(job, ".go electrical.circuit.1.locked.l1_ground", ".rig", rig=job.rig),
    )
    assert "There is no rig here: read it yourself and type it." in none[0]
    assert "Not asked: " in forbidden[1]
    assert "with power off, and power is on" in forbidden[1]


def test_what_the_rig_has_done_and_nobody_recorded_is_said_on_leaving(played: Played) -> None:
    """A switch moved is not on record before Enter."""
    job = played("power")
    _, text = talk(job.visit, [".rig", ".leave"], job.rig)
    assert "Rig: off; it is done, and Enter records it." in text
    assert "The rig has done this, and the record does not say so: Power at the unit." in text
    assert job.visit.view.state.power == "on"


def test_where_says_the_file_and_leave_leaves(job: Job) -> None:
    """The name unbroken on a line of its own, however long."""
    code, text = talk(job.visit, ["Ada", ".where", ".leave", "never read"])
    assert code == 0
    assert text.count(f"\n  {job.visit.path}\n") == 3
    assert "1 entry saved, not signed, in\n" in text
    assert "never read" not in text
