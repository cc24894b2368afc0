"""Help on the home screen."""

from __future__ import annotations

from asleft.help import GUIDES
from asleft.tui.pages import HelpPage


class HomeHelp(HelpPage):
    """The page on home, with a guide for each kind of user; its style is loaded with it."""

    CSS_PATH = "page.tcss"

    def __init__(self) -> None:
        super().__init__("home", more=(*GUIDES, "wizard"))
