"""What was typed for each act and not yet taken, and the handing over to the visit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import assert_never

from asleft.drill.rig import Answer
from asleft.drill.technician import Stuck, cannot
from asleft.face.drafts import Drafts
from asleft.face.rows import Row
from asleft.session.acts import (
    Acknowledge,
    Act,
    Break,
    Cannot,
    Choose,
    Enter,
    FindingName,
    Finish,
    Hint,
    Look,
    Mend,
    Note,
    ReadBack,
    Refusable,
    Report,
    Retract,
    Review,
    Seal,
    Sign,
    SwitchPower,
    Waive,
    Write,
)
from asleft.session.state import went_back
from asleft.visit import Refused, SaveFailed, View, Visit


@dataclass(frozen=True, slots=True)
class Said:
    """What came of something, in a sentence; `bad` where it was not done, `taken` where it is on disk."""

    text: str = ""
    bad: bool = False
    taken: bool = False


@dataclass(frozen=True, slots=True)
class Wording:
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

    def __init__(self, visit: Visit, drafts: Drafts, words: Wording) -> None:
        self._visit, self._drafts, self._words = visit, drafts, words
        self._reasons: dict[Act, str] = {}
        self._waiving: dict[Act, FindingName] = {}
        self._unsaved: dict[Act, _Unsaved] = {}
        self._done_by_rig: set[Act] = set()
        self._answered: dict[Act, Answer] = {}
        self._asked = ""
        self.failed = ""
        """Why nothing can be saved; empty since the last time something was."""

    @property
    def trouble(self) -> str:
        """Why typed texts would not outlive the terminal; empty where they do."""
        return self._drafts.trouble

    def of(self, act: Act) -> str:
        """What stands typed for an act."""
        return self._reasons[act] if act in self._reasons else self._drafts.get(str(act))

    def is_reason(self, act: Act) -> bool:
        """Whether what is typed for an act is a reason: why it cannot be done, or why a finding may stand."""
        return act in self._reasons

    def waives(self, act: Act) -> FindingName | None:
        """The finding that what is typed for an act waives; None where it waives none."""
        return self._waiving.get(act)

    @property
    def unsaved(self) -> tuple[str, ...]:
        """The rows whose entries could not be saved and were not changed since."""
        return tuple(u.row.label for u in self._unsaved.values())

    def type(self, act: Act, text: str) -> None:
        """Keep what is typed for an act. Changed, it is no longer the entry that could not be saved."""
        if act in self._unsaved and text != self._unsaved[act].text:
            del self._unsaved[act]
        if act in self._reasons:
            self._reasons[act] = text
        else:
            self._drafts.put(str(act), text)

    def answer(self, act: Act, answer: Answer) -> Said:
        """Keep a rig's answer as if it was typed; a refusal becomes the reason why it cannot be done."""
        if answer.refused:
            if not isinstance(act, Refusable):
                return Said(f"Rig: refused, {answer.refused}.", bad=True)
            self._reasons[act] = answer.refused
            return Said(f"Rig: refused, {answer.refused}; Enter notes that it cannot be done.")
        self._drafts.put(str(act), answer.typed)
        self._answered[act] = answer
        if _changes_the_unit(act):
            self._done_by_rig.add(act)
            return Said(f"Rig: {answer.typed}; it is done, and Enter records it.")
        return Said(f"Rig: {answer.typed}; Enter takes it.")

    def reason(self, act: Act, waivable: Sequence[FindingName] = ()) -> None:
        """Ask why an act cannot be done, then why each of its findings may stand; after the last, no more."""
        impossible = isinstance(act, Refusable) or not waivable
        asked: list[FindingName | None] = [*([None] if impossible else []), *waivable]
        now = self._waiving.pop(act, None)
        at = asked.index(now) + 1 if act in self._reasons and now in asked else 0
        if at >= len(asked) or (act in self._reasons and now not in asked):
            self._reasons.pop(act, None)
            return
        self._reasons.setdefault(act, "")
        if found := asked[at]:
            self._waiving[act] = found

    def waive(self, act: Act, finding: FindingName) -> None:
        """Ask why this finding of a row may stand."""
        self._reasons.setdefault(act, "")
        self._waiving[act] = finding

    def done_by_rig(self, act: Act) -> bool:
        """Whether the rig did this act and the record does not say so yet."""
        return act in self._done_by_rig

    def empty(self, act: Act) -> None:
        """Forget what is typed for an act."""
        self._done_by_rig.discard(act)
        self._answered.pop(act, None)
        self._unsaved.pop(act, None)
        self._reasons.pop(act, None)
        self._waiving.pop(act, None)
        self._drafts.put(str(act), "")

    def take(self, row: Row, text: str, system: str) -> Said:
        """Hand a row's entry to the visit."""
        act = row.submits
        try:
            self._visit.submit(self._meant(act), text, self._read_at(act, text), system=system)
        except Refused as refused:
            self._unsaved.pop(act, None)
            return Said(f"Not taken: {str(refused).rstrip('.')}.{self._words.refused}", bad=True)
        except SaveFailed as failed:
            self.type(act, text)
            self._unsaved[act] = _Unsaved(row, text, system)
            return self._not_saved(failed, "Enter tries again")
        except Stuck as stuck:
            return Said(str(stuck), bad=True)
        waived = self.waives(act)
        self.empty(act)
        self.failed = ""
        return self._saved(row, f"waived {waived.key}, {text}" if waived else text)

    def _read_at(self, act: Act, text: str) -> str:
        """When the rig took the reading that is entered just as it gave it; empty for any other entry."""
        answer = self._answered.get(act)
        return answer.read_at if answer and answer.typed == text else ""

    def _saved(self, row: Row, text: str) -> Said:
        """What was saved, and which check it fails."""
        view = self._visit.view
        failed = [f for f in view.findings if f.failed and not f.waived and f.needs[:1] == (row.act,)]
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

    def _meant(self, act: Act) -> Act:
        """The act itself; where a reason was typed, the waiver or that it cannot be done. Raises Stuck."""
        if waived := self.waives(act):
            return Waive(waived)
        if not isinstance(act, Refusable) or act not in self._reasons:
            return act
        return cannot(self._visit.view) if act == self._visit.view.next.act else Cannot(act)

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


def _changes_the_unit(act: Act) -> bool:
    """Whether a rig that answers this has done something at the unit, not only looked."""
    match act:
        case SwitchPower() | Write() | Mend():
            return True
        case (
            Enter()
            | Choose()
            | Look()
            | ReadBack()
            | Acknowledge()
            | Waive()
            | Cannot()
            | Note()
            | Retract()
            | Sign()
            | Seal()
            | Review()
            | Break()
            | Report()
            | Hint()
            | Finish()
        ):
            return False
        case _:
            assert_never(act)
