"""The terminal screens. Each is loaded when it is first asked for: home does not wait for the wizard."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.tui.app import Wizard, run_wizard
    from asleft.tui.home import Desk, HomeChoice, run_home

__all__ = ["Desk", "HomeChoice", "Wizard", "run_home", "run_wizard"]

_WHERE = {"Wizard": "app", "run_wizard": "app", "Desk": "home", "HomeChoice": "home", "run_home": "home"}


def __getattr__(name: str) -> object:
    """What is exported, from the module that has it."""
    if name not in _WHERE:
        raise AttributeError(name)
    from importlib import import_module

    found: object = getattr(import_module(f"asleft.tui.{_WHERE[name]}"), name)
    return found
