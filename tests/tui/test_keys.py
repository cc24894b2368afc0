"""Keys come from one list; a person's own are taken where they can work, and refused with a reason."""

from __future__ import annotations

from collections.abc import Callable
from itertools import chain

import pytest
from textual.widgets import Input

from asleft.session.acts import Acknowledge, Enter, FindingName, Sign
from asleft.session.payloads import Waived
from asleft.session.values import number_of
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.keys import ACTIONS, footer, key_of, key_page, of_a_drill, with_changes, words
from asleft.tui.wizard import WizardScreen
from asleft.unattended import Job
from tui.looking import drawn

Played = Callable[[str], Job]
INPUT_KEYS = set(chain.from_iterable(b.key.split(",") for b in Input.BINDINGS))  # type: ignore[union-attr]


def test_no_key_does_two_things_nor_takes_one_from_the_line_that_is_typed_in() -> None:
    """Left, Right, Home, End and what edits the line stay with it."""
    keys = [key for action in ACTIONS for key in action.keys]
    assert len(keys) == len(set(keys))
    assert set(keys) & INPUT_KEYS == {"enter"}


def test_every_action_can_be_done() -> None:
    """Each has its method on the screen."""
    for action in ACTIONS:
        assert hasattr(WizardScreen, f"action_{action.id.partition('(')[0]}"), action.id


@pytest.mark.parametrize(
    ("id", "typed", "why"),
    [
        ("nxt", "f2", "there is no such act; there are next, "),
        ("take", "f2", "it is always Enter"),
        ("next", " , ", "no key is named"),
        ("next", "x", "'x' is no key for it"),
        ("next", "f13", "'f13' is no key for it"),
        ("next", "ctrl+m", "terminals send it for Enter"),
        ("next", "ctrl+h", "many terminals send it for Backspace"),
        ("next", "ctrl+u", "the entry line edits with it"),
        ("next", "f3", "F3 does ask_rig"),
    ],
)
def test_a_key_that_cannot_work_is_left_out_with_what_would_be_right(id: str, typed: str, why: str) -> None:
    """All other keys stay as they are."""
    actions, troubles = with_changes({id: typed})
    assert actions == ACTIONS
    assert len(troubles) == 1
    assert why in troubles[0]


def test_a_changed_key_stands_wherever_keys_are_named() -> None:
    """In the footer, on the page of keys, and in what is said of an entry."""
    actions, troubles = with_changes({"undo": "CTRL+L, f12", "cannot": "f7"})
    assert [t for t in troubles if "undo" in t]
    actions, troubles = with_changes({"cannot": "ctrl+f", "undo": "Ctrl+L"})
    assert troubles == ()
    assert words(actions).undo_sure == "Ctrl+L again"
    assert ("Ctrl+L undo", "undo") in list(footer(200, actions))
    assert "| Ctrl+L | Take back" in key_page(actions)


@pytest.mark.parametrize("width", range(0, 130, 7))
def test_the_footer_fits_and_keeps_next_help_and_leave_longest(width: int) -> None:
    """What is left out stands on the page of keys."""
    shown = [action for _, action in footer(width)]
    assert {"next", "help", "leave"} <= set(shown)
    if width >= 40:
        assert len("  ".join(text for text, _ in footer(width))) <= width


async def test_a_changed_key_works_its_old_one_no_longer_and_trouble_is_told(played: Played) -> None:
    """The bad change is said on the screen."""
    job = played("electrical.line.l1_l2")
    app = Wizard(job.visit, job.rig, keys={"units": "ctrl+f", "theme": "ctrl+m"})
    async with app.run_test(size=(80, 24)) as pilot:
        assert any("Key of theme not changed" in line for line in drawn_text(app))
        await pilot.press("f8")
        assert not any("Units: SI" in line for line in drawn_text(app))
        await pilot.press("ctrl+f")
        assert any("Units: SI" in line for line in drawn_text(app))


async def test_the_palette_offers_what_is_possible_now(played: Played) -> None:
    """Redo only once something was taken back; the choices of a row only on it; every pane."""
    job = played("choose:")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = app.screen
        titles = [c.title for c in app.get_system_commands(screen)]
        assert "Redo: F7" not in titles
        assert "Pane: Heat staging" in titles
        assert [t for t in titles if t.startswith("Answer: ")]
        await pilot.press("f6", "f6")
        titles = [c.title for c in app.get_system_commands(screen)]
        assert "Redo: F7" in titles
        assert not list(app.get_system_commands(None))  # type: ignore[arg-type]


async def test_what_cannot_be_done_is_noted_with_its_reason_by_hand(played: Played) -> None:
    """A second press takes the question back; Enter notes the reason, and next goes on."""
    job = played("electrical.line.l1_l2")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+l")
        assert any("Cannot be done, because >" in line for line in drawn_text(app))
        await pilot.press("ctrl+l")
        assert not any("Cannot be done" in line for line in drawn_text(app))
        await pilot.press("ctrl+l", *"no reach", "enter")
    assert job.visit.view.ledger.refused("electrical.line.l1_l2")
    assert job.visit.view.state.notes[-1].text == "no reach"
    assert job.visit.view.next.enter != "electrical.line.l1_l2"


async def test_a_row_without_anything_that_may_be_impossible_asks_for_no_reason(played: Played) -> None:
    """Signing is a person's own word: nothing keeps anybody from it but the checks."""
    app = Wizard(played("electrical.line.l1_l2").visit)
    async with app.run_test(size=(80, 24)) as pilot:
        app._wizard.go_to(Sign())
        await pilot.press("ctrl+l")
        await drawn(pilot, "There is nothing on this row that could not be done.")
        assert not any("Cannot be done" in line for line in drawn_text(app))


async def test_a_hold_is_waived_from_no_row(played: Played) -> None:
    """And the row says so."""
    app = Wizard(played("electrical.line.l1_l2").visit)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+l")
        await drawn(pilot, "Enter notes it. EL-2 is a hold:")


async def test_what_is_only_confirmed_is_waived_no_more(played: Played) -> None:
    """A word that a hold waits for is given or not; the row says so."""
    app = Wizard(played("acknowledge:EL-18").visit)
    async with app.run_test(size=(80, 24)) as pilot:
        app._wizard.go_to(Acknowledge("EL-18"))
        await pilot.press("ctrl+l")
        await drawn(pilot, "EL-18 is a hold, and nobody can waive it.")


async def test_what_cannot_be_had_says_how_it_is_waived_and_the_palette_offers_it(played: Played) -> None:
    """On its row with the key that a person has for it; the palette goes there from anywhere."""
    job = played("electrical.stage.1.to_frame")
    app = Wizard(job.visit, job.rig, keys={"cannot": "ctrl+f"})
    async with app.run_test(size=(80, 24)) as pilot:
        assert not any("may be waived" in line for line in drawn_text(app))
        await pilot.press("ctrl+f", *"no tester", "enter")
        app._wizard.go_to(Enter("electrical.stage.1.to_frame"))
        await drawn(pilot, "EL-23 may be waived with a reason: Ctrl+F twice.")
        offered = {c.title: c.callback for c in app.get_system_commands(app.screen)}
        offered["Waive: EL-23 Insulation of elements, stage 1"]()
        await drawn(pilot, "Waive EL-23 stage.1, because >")
        await pilot.press("escape")
        app._wizard.go_to(Sign())
        offered["Waive: EL-23 Insulation of elements, stage 1"]()
        await drawn(pilot, "Measure it, or type why it may stand: that waives it.")
        await pilot.press(*"no tester", "enter")
    assert job.visit.view.state.history[-1].what == Waived(FindingName("EL-23", "stage.1"), "no tester")


async def test_several_pasted_lines_are_several_readings(played: Played) -> None:
    """Their mean is taken, and the entry shows all of them."""
    from textual.events import Paste

    job = played("electrical.line.l1_l2")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(Paste("238.1\n238.4\n\n238.2 V\n"))
        await pilot.pause()
        await pilot.press("enter")
    entry = job.visit.view.ledger.current("electrical.line.l1_l2")
    assert entry is not None
    assert entry.typed == "238.1; 238.4; 238.2 V"
    assert number_of(entry.value) == pytest.approx((238.1 + 238.4 + 238.2) / 3)


async def test_a_question_mark_alone_asks_for_help_and_in_a_text_is_one(played: Played) -> None:
    """So a keyboard without function keys has help too."""
    job = played("electrical.line.l1_l2")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("a", "?")
        assert app.screen.query_one("#entry", Input).value == "a?"
        await pilot.press("ctrl+u", "?")
        assert app.screen.__class__.__name__ == "HelpPage"


def test_a_drill_has_one_key_more_wherever_that_is_free() -> None:
    """Its own, else another: a person's keys come first."""
    assert key_of(of_a_drill(ACTIONS), "report") == "Ctrl+F"
    changed, troubles = with_changes({"cannot": "ctrl+f"})
    assert troubles == ()
    assert key_of(of_a_drill(changed), "report") == "Shift+F2"
