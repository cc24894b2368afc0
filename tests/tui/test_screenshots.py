"""Every pane at both sizes, drawn from one visit; written only when it looks different."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.session.fields import PANES
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.tui.rows import TITLES
from asleft.unattended import Job

FOLDER = Path(__file__).parents[2] / "screenshots"
ROW = {"blower": "choose:", "heat": "choose:", "delay": "choose:", "electrical": "electrical.line.l1_l2"}


def _svg(app: Wizard) -> str:
    """The screen as SVG with no link to a font elsewhere."""
    return re.sub(r"@font-face\s*\{[^}]*\}", "", app.export_screenshot(title="asleft"))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_every_pane_is_drawn(
    played: Callable[[str], Job], size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The title, what is next and its act stand on each; the picture is kept beside the code."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    job = played("heat.stage.1.")
    app = Wizard(job.visit, job.rig)
    async with app.run_test(size=size) as pilot:
        screen = app.screen
        for pane in PANES:
            for _ in PANES:
                if screen._pane == pane:  # type: ignore[attr-defined]
                    break
                await pilot.press("tab")
            rows = screen._rows  # type: ignore[attr-defined]
            wanted = ROW.get(pane, "")
            at = next((i for i, r in enumerate(rows) if wanted and r.left.startswith(wanted)), 0)
            screen._move(at)  # type: ignore[attr-defined]
            await pilot.pause()
            lines = drawn_text(app)
            assert TITLES[pane] in lines[2]
            assert any(f"[{job.visit.view.next.enter}]" in line for line in lines)
            assert len(lines) == size[1]
            svg = _svg(app)
            assert "http" not in re.sub(r'xmlns="[^"]*"', "", svg).replace("https://www.textualize.io", "")
            path = FOLDER / f"{pane}-{size[0]}x{size[1]}.svg"
            if os.environ.get("ASLEFT_SCREENSHOTS") or not path.exists():
                path.write_text(svg, "utf-8")
