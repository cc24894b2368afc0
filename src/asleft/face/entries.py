"""What was typed for each act and not yet taken, and the handing over to the visit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from asleft.drill.rig import Answer
from asleft.drill.technician import Stuck, cannot
from asleft.face.drafts import Drafts
from asleft.face.rows import Row
from asleft.session.state import went_back
from asleft.visit import Refused, SaveFailed, View, Visit


@dataclass(frozen=True, slots=True)
class Said:
    """What came of something, in a sentence; `bad` where it was not done, `taken` where it is on disk."""

    text: str = ""
    bad: bool = False
    taken: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """How a face names what a person does there."""

    refused: str
    """What stands behind a refusal: how to get rid of what was typed."""
    elsewhere: str
    """What saves in another folder."""
    undo: str
    redo: str
    undo_sure: str
    """What confirms that the last act is to be taken back."""
    redo_sure: str


@dataclass(frozen=True, slots=True)
class _Unsaved:
    """An entry that could not be put on disk, as it was entered."""

    row: Row
    text: str
    system: str


class Entries:
    """Typed texts by act. None is forgotten before it is on disk, unless a person empties it."""

    def __init__(self, visit: Visit, drafts: Drafts, words: Words) -> None:
        self._visit, self._drafts, self._words = visit, drafts, words
        self._reasons: dict[str, str] = {}
        self._unsaved: dict[str, _Unsaved] = {}
        self._done_by_rig: set[str] = set()
        self._asked = ""
        self.failed = ""
        """Why nothing can be saved; empty since the last time something was."""

    @property
    def trouble(self) -> str:
        """Why typed texts would not outlive the terminal; empty where they do."""
        return self._drafts.trouble

    def of(self, left: str) -> str:
        """What stands typed for an act."""
        return self._reasons[left] if left in self._reasons else self._drafts.get(left)

    def is_reason(self, left: str) -> bool:
        """Whether what is typed for an act is why it cannot be done."""
        return left in self._reasons

    @property
    def unsaved(self) -> tuple[str, ...]:
        """The rows whose entries could not be saved and were not changed since."""
        return tuple(u.row.label for u in self._unsaved.values())

    def type(self, left: str, text: str) -> None:
        """Keep what is typed for an act. Changed, it is no longer the entry that could not be saved."""
        if left in self._unsaved and text != self._unsaved[left].text:
            del self._unsaved[left]
        if left in self._reasons:
            self._reasons[left] = text
        else:
            self._drafts.put(left, text)

    def answer(self, left: str, answer: Answer) -> Said:
        """Keep a rig's answer as if it was typed; a refusal becomes the reason why it cannot be done."""
        if answer.refused:
            self._reasons[left] = answer.refused
            return Said(f"Rig: refused, {answer.refused}; Enter notes that it cannot be done.")
        self._drafts.put(left, answer.typed)
        if left == "power" or left.startswith(("wrote:", "mended:")):
            self._done_by_rig.add(left)
            return Said(f"Rig: {answer.typed}; it is done, and Enter records it.")
        return Said(f"Rig: {answer.typed}; Enter takes it.")

    def reason(self, left: str) -> None:
        """Ask why an act cannot be done; asked already, ask no more."""
        if self._reasons.pop(left, None) is None:
            self._reasons[left] = ""

    def done_by_rig(self, left: str) -> bool:
        """Whether the rig did this act and the record does not say so yet."""
        return left in self._done_by_rig

    def empty(self, left: str) -> None:
        """Forget what is typed for an act."""
        self._done_by_rig.discard(left)
        self._unsaved.pop(left, None)
        self._reasons.pop(left, None)
        self._drafts.put(left, "")

    def take(self, row: Row, text: str, system: str) -> Said:
        """Hand a row's entry to the visit."""
        left = row.left
        try:
            act = self._cannot_act(left) if left in self._reasons else left
            self._visit.submit(act, text, system=system)
        except Refused as refused:
            self._unsaved.pop(left, None)
            return Said(f"Not taken: {str(refused).rstrip('.')}.{self._words.refused}", bad=True)
        except SaveFailed as failed:
            self.type(left, text)
            self._unsaved[left] = _Unsaved(row, text, system)
            return self._not_saved(failed, "Enter tries again")
        except Stuck as stuck:
            return Said(str(stuck), bad=True)
        self.empty(left)
        self.failed = ""
        return self._saved(row, text)

    def _saved(self, row: Row, text: str) -> Said:
        """What was saved, and which check it fails."""
        view = self._visit.view
        failed = [
            f for f in view.findings if f.failed and not f.waived and f.fields and f.fields[0] == row.left
        ]
        bad = f". {failed[0].id} {failed[0].verdict}" if failed else ""
        back = went_back(view.state.history[-3:])
        if back:
            bad += f". The clock went back: event {back[-1]} is dated before the one before it"
        return Said(
            f"Saved {view.state.last_n}: {row.label}: {text}{bad}", bad=bool(failed or back), taken=True
        )

    def _not_saved(self, error: SaveFailed, again: str) -> Said:
        self.failed = str(error)
        return Said(f"Not saved; {self._words.elsewhere} saves in another folder, {again}.", bad=True)

    def moved(self, path: Path) -> Said:
        """The session goes on in another file: what came of handing over, and where."""
        said = self.hand_over()
        where = f"The session is now in {path}."
        return replace(said, text=f"{said.text}. {where}" if said.text else where)

    def hand_over(self) -> Said:
        """Hand over, in order, what could not be saved before the session went on in another file."""
        self.failed = ""
        said = Said()
        for entry in list(self._unsaved.values()):
            said = self.take(entry.row, entry.text, entry.system)
            if not said.taken:
                break
        return said

    def _cannot_act(self, left: str) -> str:
        if left == self._visit.view.next.enter:
            return cannot(self._visit.view)
        return f"cannot:{left.removeprefix('mended:')}"

    def undo(self) -> Said:
        """Take back the last act: the first call says which, the second does it."""
        words = self._words
        return self._twice("undo", words.undo, words.undo_sure, self._visit.undoable(), self._visit.undo)

    def redo(self) -> Said:
        """Bring back what was taken back, likewise."""
        words = self._words
        return self._twice("redo", words.redo, words.redo_sure, self._visit.redoable(), self._visit.redo)

    def forget_question(self) -> None:
        """The next undo or redo asks anew."""
        self._asked = ""

    def _twice(self, name: str, key: str, sure: str, what: str, act: Callable[[], View]) -> Said:
        if not what:
            return Said(f"There is nothing to {name}.")
        if self._asked != name:
            self._asked = name
            return Said(f"{name.capitalize()}: {what}. {sure} does it.")
        try:
            act()
        except SaveFailed as failed:
            return self._not_saved(failed, f"{key} tries again")
        except Refused as error:
            self._asked = ""
            return Said(str(error), bad=True)
        self._asked = self.failed = ""
        return Said(f"{name.capitalize()} done: {what}.", taken=True)
