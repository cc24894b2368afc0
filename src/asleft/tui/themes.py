"""The themes that every screen of the program has, by the words that a person sets them with."""

from __future__ import annotations

from typing import Any

from textual.app import App
from textual.theme import Theme

HIGH_CONTRAST = Theme(
    name="high-contrast",
    primary="#ffff00",
    secondary="#00ffff",
    warning="#ffff00",
    error="#ff8080",
    success="#80ff80",
    accent="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#202020",
    dark=True,
)

NAMES = {"dark": "textual-dark", "light": "textual-light", "high-contrast": HIGH_CONTRAST.name}
"""What the screen library calls each."""


def dress(app: App[Any], theme: str) -> None:
    """Show an app in one of our themes; one that is not ours leaves it as it is."""
    if theme == "high-contrast" and theme not in app.available_themes:
        app.register_theme(HIGH_CONTRAST)
    if name := NAMES.get(theme):
        app.theme = name
