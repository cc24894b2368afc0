"""The terminal screens."""

from __future__ import annotations

from asleft.tui.app import Wizard, run_wizard
from asleft.tui.home import HomeChoice, run_home

__all__ = ["HomeChoice", "Wizard", "run_home", "run_wizard"]
