"""The looks that every screen of the program has, by the words that a person sets them with.

State stands in words and signs, so that each of them says the same.
"""

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
WITHOUT_COLOUR = Theme(
    name="without-colour",
    primary="#ffffff",
    secondary="#ffffff",
    warning="#ffffff",
    error="#ffffff",
    success="#ffffff",
    accent="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#303030",
    dark=True,
)
NAMES = {
    "dark": "textual-dark",
    "light": "textual-light",
    "high-contrast": HIGH_CONTRAST.name,
    "without-colour": WITHOUT_COLOUR.name,
}
"""What the screen library calls each, in the order in which they follow each other."""


def dress(app: App[Any], theme: str) -> None:
    """Show an app in one of our themes; one that is not ours leaves it as it is."""
    for own in (HIGH_CONTRAST, WITHOUT_COLOUR):
        if own.name not in app.available_themes:
            app.register_theme(own)
    if name := NAMES.get(theme):
        app.theme = name


def called(name: str) -> str:
    """What a person calls a theme of the screen library; its own name where it is not ours."""
    return next((ours for ours, theirs in NAMES.items() if theirs == name), name)


def after(name: str) -> str:
    """The theme that follows the one shown, round and round, by what a person calls it."""
    ours = list(NAMES)
    now = called(name)
    return ours[(ours.index(now) + 1) % len(ours)] if now in ours else ours[0]
