"""Every action of the wizard in one list: bindings, footer, palette and the key page are drawn from it."""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding

from asleft.face.entries import Words


@dataclass(frozen=True, slots=True)
class Action:
    """A key, what it does, and whether the footer shows it."""

    id: str
    key: str
    shown: str
    label: str
    help: str
    footer: bool = True


ACTIONS = (
    Action("next", "f2", "F2", "next", "Go to the next thing to do."),
    Action("ask_rig", "f3", "F3", "reading", "Ask the rig, where there is one, for this row's reading."),
    Action("working", "f4", "F4", "working", "Working and source of what is judged on this row."),
    Action("chart", "f11,ctrl+g", "F11", "chart", "The charts of this pane; also Ctrl+G.", False),
    Action("elsewhere", "f5", "F5", "folder", "Where it is saved; another folder where saving fails.", False),
    Action("undo", "f6", "F6", "undo", "Take back the last act; a second press confirms."),
    Action("redo", "f7", "F7", "redo", "Bring back what was taken back; a second press confirms.", False),
    Action("units", "f8", "F8", "IP/SI", "Change between inch-pound and SI units.", False),
    Action("help", "f1", "F1", "help", "Help on this pane, and the keys."),
    Action("leave", "f10", "F10", "leave", "Leave; everything shown as saved is on disk."),
    Action("next_pane", "tab", "Tab", "pane", "The next pane.", True),
    Action("previous_pane", "shift+tab", "Shift+Tab", "pane back", "The pane before.", False),
    Action("row(-1)", "up", "Up", "row up", "The row above.", False),
    Action("row(1)", "down", "Down", "row down", "The row below.", False),
    Action("row(-10)", "pageup", "PageUp", "ten up", "Ten rows up.", False),
    Action("row(10)", "pagedown", "PageDown", "ten down", "Ten rows down.", False),
    Action("stop", "escape", "Esc", "stop", "Stop waiting for the rig, or clear the entry.", False),
    Action("theme", "f9", "F9", "theme", "The next theme: dark, light, or without colour.", False),
)

WORDS = Words(
    refused=" Ctrl+U clears it",
    elsewhere="F5",
    undo="F6",
    redo="F7",
    undo_sure="F6 again",
    redo_sure="F7 again",
)
"""The keys that what is said of an entry names."""


def bindings() -> list[Binding | tuple[str, str] | tuple[str, str, str]]:
    """The bindings of the wizard's screen. They come before those of the entry line."""
    return [Binding(a.key, a.id, a.label, show=False, priority=True, id=f"asleft.{a.id}") for a in ACTIONS]


def footer(width: int) -> str:
    """As many keys as fit, most wanted first; help and leave always."""
    shown = [a for a in ACTIONS if a.footer]
    parts = [f"{a.shown} {a.label}" for a in shown]
    while len("  ".join(parts)) > width and len(parts) > 3:
        parts.pop(2)
    return "  ".join(parts)


def key_page() -> str:
    """The keys as Markdown."""
    lines = ["## Keys", "", "| key | does |", "|---|---|"]
    lines += [f"| {a.shown} | {a.help} |" for a in ACTIONS]
    lines += ["| Left, Right | Go through the choices of a row whose entry is empty or a choice. |"]
    lines += ["| Enter | Take what stands in the entry line. |"]
    return "\n".join(lines)
