"""Pictures of screens, kept beside the code: a screen that has changed no longer is the one that is kept."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from textual.app import App

FOLDER = Path(__file__).parents[2] / "screenshots"


def svg_of(app: App[Any]) -> str:
    """The screen as SVG with no link to a font elsewhere."""
    return re.sub(r"@font-face\s*\{[^}]*\}", "", app.export_screenshot(title="asleft"))


def is_kept(app: App[Any], name: str) -> None:
    """The screen is the picture of this name; ASLEFT_SCREENSHOTS=1 in the environment keeps it anew."""
    svg, path = svg_of(app), FOLDER / f"{name}.svg"
    assert "http" not in re.sub(r'xmlns="[^"]*"', "", svg).replace("https://www.textualize.io", "")
    if os.environ.get("ASLEFT_SCREENSHOTS"):
        path.write_text(svg, "utf-8")
    kept = path.read_text("utf-8") if path.exists() else ""
    assert _unnumbered(kept) == _unnumbered(svg), (
        f"{path.name} shows an older screen; ASLEFT_SCREENSHOTS=1 pytest tests/tui draws it anew"
    )


def _unnumbered(svg: str) -> str:
    """Without the number that each drawing gives its own style classes."""
    return re.sub(r"terminal-[0-9]+", "terminal", svg)
