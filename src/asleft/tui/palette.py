"""What the palette offers: every act that is possible now, each once, with its key where it has one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual.app import SystemCommand

from asleft.face.rows import TITLES
from asleft.face.rows.findings import called, given_up, waivable
from asleft.session.acts import Note, Sign, SwitchPower
from asleft.session.fields import PANES
from asleft.tui.safe import plain

if TYPE_CHECKING:
    from asleft.session.acts import Act
    from asleft.tui.keys import Action
    from asleft.tui.wizard import WizardScreen

_ROWS: dict[Act, str] = {
    Note(): "Remark: write one",
    Sign(): "Signature: sign the visit",
    SwitchPower(): "Power: on or off",
}


def commands(wizard: WizardScreen, actions: Sequence[Action]) -> Iterator[SystemCommand]:
    """Actions with keys, panes, the choices of the row under the cursor, rows of other acts."""
    for action in actions:
        if not action.moves and wizard.possible(action.id):
            callback = getattr(wizard, f"action_{action.id}")
            yield SystemCommand(f"{action.label.capitalize()}: {action.shown}", action.help, callback)
    for pane in PANES:
        yield SystemCommand(f"Pane: {TITLES[pane]}", "Go to this pane.", partial(wizard.action_pane, pane))
    row = wizard.row
    for n, choice in enumerate(row.choices if row else ()):
        put = partial(wizard.action_answer, n)
        yield SystemCommand(plain(f"Answer: {choice}"), "Put it in the entry line; Enter takes it.", put)
    of_row = waivable(wizard.view, row) if row else ()
    for finding in dict.fromkeys((*of_row, *given_up(wizard.view))):
        title = plain(f"Waive: {called(wizard.view, finding)}")
        ask = partial(wizard.waive, finding.name)
        yield SystemCommand(title, "Type why it may stand; Enter waives it.", ask)
    for act, title in _ROWS.items():
        yield SystemCommand(title, "Go to its row.", partial(wizard.go_to, act))
