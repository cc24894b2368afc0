"""The text that stands on the screen, cell by cell, as a person would read it."""

from __future__ import annotations

from typing import Any

from textual.app import App


def drawn_text(app: App[Any]) -> list[str]:
    """The lines drawn on the current screen, blanks at their ends cut off."""
    screen = app.screen
    width, height = screen.size
    lines = []
    for strip in screen._compositor.render_strips():
        lines.append(strip.crop(0, width).text.rstrip())
    return lines[:height]
