"""Every pane at both sizes, drawn from one visit, is the picture that is kept."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from asleft.face.rows import TITLES
from asleft.session.fields import PANES
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.wizard import WizardScreen
from asleft.unattended import Job

FOLDER = Path(__file__).parents[2] / "screenshots"
ROW = {"blower": "choose:", "heat": "choose:", "delay": "choose:", "electrical": "electrical.line.l1_l2"}


def _svg(app: Wizard) -> str:
    """The screen as SVG with no link to a font elsewhere."""
    return re.sub(r"@font-face\s*\{[^}]*\}", "", app.export_screenshot(title="asleft"))


def _unnumbered(svg: str) -> str:
    """Without the number that each drawing gives its own style classes."""
    return re.sub(r"terminal-[0-9]+", "terminal", svg)


async def _stand_on(pilot: Pilot[None], left: str) -> None:
    """Go up to the first row, then down to the first whose act starts like this."""
    await pilot.press(*["pageup"] * 4)
    screen = pilot.app.screen
    assert isinstance(screen, WizardScreen)
    while screen.row is not None and not screen.row.left.startswith(left):
        await pilot.press("down")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_every_pane_is_drawn(
    played: Callable[[str], Job], size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The title, what is next and its act stand on each; the picture is kept beside the code."""
    monkeypatch.delenv("NO_COLOR", raising=False)
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
            svg = _svg(app)
            assert "http" not in re.sub(r'xmlns="[^"]*"', "", svg).replace("https://www.textualize.io", "")
            path = FOLDER / f"{pane}-{size[0]}x{size[1]}.svg"
            if os.environ.get("ASLEFT_SCREENSHOTS"):
                path.write_text(svg, "utf-8")
            kept = path.read_text("utf-8") if path.exists() else ""
            assert _unnumbered(kept) == _unnumbered(svg), (
                f"{path.name} shows an older screen; ASLEFT_SCREENSHOTS=1 pytest tests/tui draws it anew"
            )
