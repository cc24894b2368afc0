"""Every action of the wizard in one list: bindings, footer, palette and the key page are drawn from it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from textual.binding import Binding

from asleft.face.entries import Wording


@dataclass(frozen=True, slots=True)
class Action:
    """What a key does: the first of `keys` is the one shown. `footer` gives it a place on the last line.

    `moves` marks what only moves about: it stands on the key page and not in the palette.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    footer: bool = False
    moves: bool = False

    @property
    def shown(self) -> str:
        """The key as it is written on the screen."""
        return shown_key(self.keys[0])


ACTIONS = (
    Action("next", ("f2", "ctrl+n"), "next", "Go to the next thing to do.", True),
    Action("take", ("enter",), "take", "Take what stands in the entry line.", True, moves=True),
    Action("ask_rig", ("f3", "ctrl+r"), "reading", "Ask the rig for this row's reading.", True),
    Action("working", ("f4", "ctrl+o"), "working", "Working and source of what is judged on this row.", True),
    Action("chart", ("f11", "ctrl+g"), "chart", "The charts of this pane."),
    Action("undo", ("f6", "ctrl+z"), "undo", "Take back the last act; a second press confirms.", True),
    Action("help", ("f1",), "help", "Help on this row and pane, and the keys; so does ? alone.", True),
    Action("leave", ("f10", "ctrl+q"), "leave", "Leave; everything shown as saved is on disk.", True),
    Action("next_pane", ("tab",), "pane", "The next pane.", True, moves=True),
    Action("palette", ("ctrl+p",), "all acts", "Find any act by a part of its name.", True, moves=True),
    Action("redo", ("f7", "ctrl+y"), "redo", "Bring back what was taken back; a second press confirms."),
    Action(
        "cannot", ("ctrl+l",), "cannot", "Note why this row cannot be done; again: waive what is open on it."
    ),
    Action("clock", ("f12", "ctrl+t"), "clock", "Start the clock of a timed series; pressed again, stop it."),
    Action("elsewhere", ("f5",), "folder", "Where it is saved; another folder where saving fails."),
    Action("units", ("f8",), "IP/SI", "Change between inch-pound and SI units."),
    Action("theme", ("f9",), "theme", "The next theme: dark, light, high contrast, without colour."),
    Action("previous_pane", ("shift+tab",), "pane back", "The pane before.", moves=True),
    Action("row(-1)", ("up",), "row up", "The row above.", moves=True),
    Action("row(1)", ("down",), "row down", "The row below.", moves=True),
    Action("row(-10)", ("pageup",), "ten up", "Ten rows up.", moves=True),
    Action("row(10)", ("pagedown",), "ten down", "Ten rows down.", moves=True),
    Action("stop", ("escape",), "stop", "Stop waiting for the rig, or clear the entry.", moves=True),
)
REPORT = Action("report", ("ctrl+f",), "report", "Report the fault that the row under the cursor shows.")
"""What only a drill has besides."""
OTHERWISE = ("shift+f2", "shift+f3")
"""Keys of a report where a person has given its own to something else."""
_FIXED = ("take", "stop", "palette")
"""Actions whose key cannot be changed: the entry line and the palette have them."""
_TAKEN = {
    "h": "many terminals send it for Backspace",
    "i": "terminals send it for Tab",
    "j": "terminals send it for a line feed",
    "m": "terminals send it for Enter",
    "s": "some terminals stop their output at it",
    "b": "terminal multiplexers begin their own keys with it",
    "p": "it opens the list of all acts",
    **dict.fromkeys("acdekuvwx", "the entry line edits with it"),
}
_NAMED = ("tab", "shift+tab", "up", "down", "pageup", "pagedown")
_FUNCTION = re.compile(r"f([1-9]|1[0-2])")
_CONTROL = re.compile(r"ctrl\+([a-z])")


def shown_key(key: str) -> str:
    """`ctrl+n` as `Ctrl+N`, `f2` as `F2`, `pageup` as `PageUp`."""
    names = {"pageup": "PageUp", "pagedown": "PageDown", "escape": "Esc"}
    return "+".join(names.get(part, part.capitalize()) for part in key.split("+"))


def with_changes(changes: Mapping[str, str]) -> tuple[tuple[Action, ...], tuple[str, ...]]:
    """The actions with a person's own keys, and a sentence for each change that cannot be made.

    `changes` gives a key, or several parted by commas, for an action by its id. What cannot be made is
    left out.
    """
    actions = {a.id: a for a in ACTIONS}
    troubles: list[str] = []
    for id, typed in changes.items():
        keys = tuple(k.strip().lower() for k in typed.split(",") if k.strip())
        if wrong := _wrong(id, keys, actions):
            troubles.append(wrong)
        else:
            actions[id] = replace(actions[id], keys=keys)
    return tuple(actions.values()), tuple(troubles)


def _wrong(id: str, keys: Sequence[str], actions: Mapping[str, Action]) -> str:
    possible = ", ".join(a for a in actions if a not in _FIXED)
    if id not in actions:
        return f"Key of {id!r} not changed: there is no such act; there are {possible}."
    if id in _FIXED:
        return f"Key of {id} not changed: it is always {actions[id].shown}."
    if not keys:
        return f"Key of {id} not changed: no key is named; F1 to F12 or Ctrl with a letter would do."
    for key in keys:
        control = _CONTROL.fullmatch(key)
        if control and control[1] in _TAKEN:
            return f"Key of {id} not changed: {shown_key(key)} is not free, {_TAKEN[control[1]]}."
        if not (control or _FUNCTION.fullmatch(key) or key in _NAMED):
            return f"Key of {id} not changed: {key!r} is no key for it; take F1 to F12 or Ctrl with a letter."
        other = next((a for a in actions.values() if a.id != id and key in a.keys), None)
        if other is not None:
            return f"Key of {id} not changed: {shown_key(key)} does {other.id}; change that one first."
    return ""


def of_a_drill(actions: Sequence[Action]) -> tuple[Action, ...]:
    """The actions of a drill: those of a visit as a person has them, and the report."""
    taken = {key for action in actions for key in action.keys}
    keys = next((k,) for k in (*REPORT.keys, *OTHERWISE) if k not in taken)
    return (*actions, replace(REPORT, keys=keys))


def bindings(actions: Sequence[Action] = ACTIONS) -> list[Binding]:
    """The bindings of the wizard's screen. They come before those of the entry line."""
    return [
        Binding(",".join(a.keys), a.id, a.label, show=False, priority=True, id=f"asleft.{a.id}")
        for a in actions
        if a.id not in ("take", "palette")
    ]


def key_of(actions: Sequence[Action], id: str) -> str:
    """The key of an action as it is written on the screen."""
    return next(a.shown for a in actions if a.id == id)


def words(actions: Sequence[Action]) -> Wording:
    """The keys that what is said of an entry names."""
    undo, redo = key_of(actions, "undo"), key_of(actions, "redo")
    return Wording(
        refused=" Ctrl+U clears it",
        elsewhere=key_of(actions, "elsewhere"),
        undo=undo,
        redo=redo,
        undo_sure=f"{undo} again",
        redo_sure=f"{redo} again",
    )


def footer(width: int, actions: Sequence[Action] = ACTIONS) -> Iterator[tuple[str, str]]:
    """As many keys as fit, each with its action: those that stand last in the list are left out first."""
    shown = [a for a in actions if a.footer]
    kept = {a.id for a in shown}
    for dropped in ("palette", "working", "undo", "next_pane", "ask_rig", "take"):
        if sum(len(f"{a.shown} {a.label}") + 2 for a in shown if a.id in kept) - 2 <= width:
            break
        kept.discard(dropped)
    for action in shown:
        if action.id in kept:
            yield f"{action.shown} {action.label}", action.id


def key_page(actions: Sequence[Action] = ACTIONS) -> str:
    """The keys as Markdown."""
    lines = ["## Keys", "", "| key | does |", "|---|---|"]
    lines += [f"| {', '.join(map(shown_key, a.keys))} | {a.help} |" for a in actions]
    lines += [
        "| Left, Right | Go through the choices of a row whose entry is empty or a choice. |",
        "| y, n, 1 to 9 | Answer a question or name a choice by its number; Enter takes it. |",
        "| ? | In an empty entry: help. |",
    ]
    return "\n".join(lines)
