"""Pictures of screens, kept beside the code: a screen that has changed no longer is the one that is kept."""

from __future__ import annotations

import asyncio
import difflib
import os
import re
from pathlib import Path
from typing import Any

from textual.app import App

FOLDER = Path(__file__).parents[2] / "screenshots"
WAIT_S, TRIES, STILL = 0.05, 600, 8
"""How long between two looks, how many at the most, and how many alike make a screen still."""


def svg_of(app: App[Any]) -> str:
    """The screen as SVG with no link to a font elsewhere."""
    bare = re.sub(r"@font-face\s*\{[^}]*\}", "", app.export_screenshot(title="asleft"))
    return re.sub(r"\s*<circle [^>]*/>", "", bare)


async def is_kept(app: App[Any], name: str) -> None:
    """The screen comes to be the picture of this name; ASLEFT_SCREENSHOTS=1 in the environment keeps it anew.

    A page is drawn in more steps than one (its words, then what has the focus), so the picture is waited for.
    """
    path = FOLDER / f"{name}.svg"
    if os.environ.get("ASLEFT_SCREENSHOTS"):
        path.write_text(await _still(app), "utf-8")
    kept = path.read_text("utf-8") if path.exists() else ""
    svg = svg_of(app)
    for _ in range(TRIES):
        if kept and _unnumbered(kept) == _unnumbered(svg):
            break
        await asyncio.sleep(WAIT_S)
        svg = svg_of(app)
    assert "http" not in re.sub(r'xmlns="[^"]*"', "", svg).replace("https://www.textualize.io", "")
    assert _unnumbered(kept) == _unnumbered(svg), (
        f"{path.name} shows another screen; ASLEFT_SCREENSHOTS=1 pytest tests/tui draws it anew:\n"
        + "\n".join(difflib.unified_diff(_words(kept), _words(svg), "kept", "drawn", lineterm=""))
    )


async def _still(app: App[Any]) -> str:
    """The screen once it has not changed for some time."""
    svg, same = svg_of(app), 0
    while same < STILL:
        await asyncio.sleep(WAIT_S)
        now = svg_of(app)
        same = same + 1 if _unnumbered(now) == _unnumbered(svg) else 0
        svg = now
    return svg


def _words(svg: str) -> list[str]:
    """A picture in lines, so that what differs can be told."""
    return _unnumbered(svg).replace("><", ">\n<").splitlines()


def _unnumbered(svg: str) -> str:
    """Without the number that each drawing gives its own style classes."""
    return re.sub(r"terminal-[0-9]+", "terminal", svg)
