"""Every pane and every state worth showing, drawn from one visit, is the picture that is kept."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from asleft.drill.technician import act
from asleft.face.rows import TITLES
from asleft.session.fields import PANES
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.wizard import WizardScreen
from asleft.unattended import Job
from tui.pictures import is_kept

ROW = {"blower": "choose:", "heat": "choose:", "delay": "choose:", "electrical": "electrical.line.l1_l2"}
Played = Callable[[str], Job]


@pytest.fixture(autouse=True)
def in_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the environment of the tests says of colours."""
    monkeypatch.delenv("NO_COLOR", raising=False)


async def _stand_on(pilot: Pilot[None], left: str) -> None:
    """Go up to the first row, then down to the first whose act starts like this."""
    await pilot.press(*["pageup"] * 4)
    screen = pilot.app.screen
    assert isinstance(screen, WizardScreen)
    while screen.row is not None and not screen.row.left.startswith(left):
        await pilot.press("down")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=["80x24", "120x40", "200x60"])
async def test_every_pane_is_drawn(played: Played, size: tuple[int, int]) -> None:
    """The title, what is next and its act stand on each; the picture is kept beside the code."""
    job = played("heat.stage.1.")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=size) as pilot:
        for pane in PANES:
            await app.screen.run_action(f"pane('{pane}')")
            await pilot.pause()
            await _stand_on(pilot, ROW.get(pane, ""))
            lines = drawn_text(app)
            assert any(f" {TITLES[pane]}" in line for line in lines[1:3])
            assert any(f"[{job.visit.view.next.enter}]" in line for line in lines)
            assert len(lines) == size[1]
            await is_kept(app, f"{pane}-{size[0]}x{size[1]}")


@pytest.mark.parametrize(
    ("name", "volts", "verdict"), [("fails", "205 V", " FAIL"), ("near", "217 V", " pass, near")]
)
async def test_a_reading_outside_its_limits_or_near_one_is_told_in_words(
    played: Played, name: str, volts: str, verdict: str
) -> None:
    """The bar shows the reading against its limits; verdict, reason and probability are written."""
    job = played("electrical.line.l1_l2")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f2", *volts, "enter")
        await _stand_on(pilot, "electrical.line.l1_l2")
        row = next(line for line in drawn_text(app) if "▸ Line to line" in line)
        assert row.rstrip().endswith(verdict)
        await is_kept(app, f"reading-{name}-120x40")


@pytest.mark.parametrize("theme", ["light", "high-contrast", "without-colour"])
async def test_every_theme_says_the_same(played: Played, theme: str) -> None:
    """Colours change, no word does."""
    job = played("choose:")
    dark, other = Wizard(job.visit, job.rig), Wizard(job.visit, job.rig, theme=theme)
    async with dark.run_test(size=(80, 24)):
        said = drawn_text(dark)
    async with other.run_test(size=(80, 24)):
        assert drawn_text(other) == said
        await is_kept(other, f"{theme}-80x24")


async def test_working_help_palette_and_the_card_of_a_small_window(played: Played) -> None:
    """What opens over the wizard, and what takes its place where there is no room for it."""
    job = played("choose:")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(80, 24)) as pilot:
        for key, name in (("f4", "working"), ("f1", "help"), ("ctrl+p", "palette")):
            await pilot.press(key)
            await pilot.pause(0.2)
            await is_kept(app, f"{name}-80x24")
            await pilot.press("escape")
            await pilot.pause()
        await pilot.resize_terminal(44, 12)
        await pilot.pause()
        await is_kept(app, "card-44x12")


async def test_a_signed_visit(played: Played) -> None:
    """Nothing is left to do, and the record says who signed what."""
    job = played("signoff")
    while job.visit.view.next.do != "nothing":
        job.visit.submit(*act(job.visit.view, job.rig))
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=(120, 40)) as pilot:
        await app.screen.run_action("pane('signoff')")
        await pilot.pause()
        assert "signed commissioned" in drawn_text(app)[0]
        await is_kept(app, "signed-120x40")
