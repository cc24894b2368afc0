"""The wizard as questions and answers: asks what is next, takes a line, says what came of it."""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, TextIO

from asleft.drill.rig import Answer, Rig, ask
from asleft.face.drafts import Drafts, drafts_of
from asleft.face.entries import Entries, Said, Wording
from asleft.face.offering import offered
from asleft.face.rows import Row, rows
from asleft.line.dialog import commands, told
from asleft.line.dialog.paper import Paper
from asleft.line.dialog.question import Question, expected, guarded, lines_of, question, what
from asleft.line.dialog.source import Interrupted, Interrupts, Lines, TooLong
from asleft.session.fields import PANES
from asleft.settings.remembered import NOTHING
from asleft.visit import View, Visit

if TYPE_CHECKING:
    from asleft.drill.classroom.client import Lesson
    from asleft.session.acts import Act

COULD_NOT = 3
"""Exit code where something could not be saved."""
_WORDS = Wording(
    refused="",
    elsewhere=".elsewhere FOLDER",
    undo=".undo",
    redo=".redo",
    undo_sure="y",
    redo_sure="y",
)
_COMMAND = re.compile(r"\.[A-Za-z]")


class Dialog:
    """One visit asked and answered. It holds no truth of its own: where it stands, and what was told last."""

    def __init__(
        self,
        visit: Visit,
        rig: Rig | None,
        source: TextIO | None,
        shown: TextIO,
        *,
        system: str = "ip",
        drafts: Drafts | None = None,
        offers: Mapping[Act, str] = NOTHING,
        lesson: Lesson | None = None,
    ) -> None:
        self.visit, self.rig, self.system, self.lesson = visit, rig, system, lesson
        self.entries = Entries(visit, drafts or Drafts(None), _WORDS)
        self._offers = offers
        self.paper = Paper(shown)
        self.listed: tuple[Row, ...] = ()
        """The rows last listed, which `.go` names by their number."""
        self.told: tuple[str, ...] = ()
        """The findings that the last entry changed, until something else is asked for."""
        self.leaving = False
        self._interrupts = Interrupts()
        self._lines = Lines(source, self._interrupts)
        self._unanswered = ""
        self._gone: tuple[str, Row] | None = None
        self._to_ask = self._to_remind = True
        self._caution = ""
        visit.read_in(system)

    @property
    def view(self) -> View:
        """The visit as it stands."""
        return self.visit.view

    def run(self) -> int:
        """Ask until the visit is left. Gives the exit code."""
        with self._interrupts:
            try:
                self._open()
                while not self.leaving:
                    self._ask()
                    self._hear()
                code = 0
            except Interrupted as interrupted:
                self.paper.gap()
                code = 128 + interrupted.number
            return self._close() or code

    def _open(self) -> None:
        self.paper.say_all(told.opening(self.visit))
        self.paper.say(f"{told.how_saved(self.view).capitalize()}, in")
        self.paper.name(str(self.visit.path))
        if self.visit.torn_kept:
            self.paper.say("The last entry was cut short; its bytes are kept in")
            self.paper.name(str(self.visit.torn_kept))
        self.paper.say(self.entries.trouble)
        if self.lesson is not None:
            self.paper.say(f"Drill: {self.lesson.brief.title}.")
            self.paper.say_all(f"Aim: {aim}" for aim in self.lesson.brief.aims)
            self.paper.say(".rig takes a reading, .report reports a fault, .finish ends the drill.")
        self.paper.say(".help lists the commands; .leave leaves.")

    def _close(self) -> int:
        """Say how it is left; the exit code where something is not saved, else 0."""
        waiting, asked = self.entries.unsaved, self.question()
        if asked is not None and self.entries.done_by_rig(asked.row.submits):
            self.paper.say(f"The rig has done this, and the record does not say so: {asked.row.label}.")
        if self._unanswered:
            self.paper.say(f"The rig had not answered yet, and may have done this: {self._unanswered}.")
        if waiting:
            self.paper.say(f"NOT SAVED: {', '.join(waiting)}. {self.entries.failed}")
        self.paper.say(f"Left; {told.how_saved(self.view)}, in")
        self.paper.name(str(self.visit.path))
        return COULD_NOT if waiting else 0

    # ---- what is asked

    def question(self) -> Question | None:
        """What is asked now: what somebody went to, else what is next; None where nothing is."""
        view = self.view
        if self._gone is not None:
            pane, row = self._gone
            now = self.row(row.submits, pane) or (pane, row)
            is_next = row.act == view.next.act
            return question(view, now[1], now[0], self.visit.instruments, is_next=is_next)
        if view.next.act is None:
            return None
        found = self.row(view.next.act, view.next.pane)
        assert found is not None, "the rows of a pane hold what is next"
        return question(view, found[1], found[0], self.visit.instruments, is_next=True)

    def row(self, act: Act, pane: str = "") -> tuple[str, Row] | None:
        """The row of an act, and the pane it stands on; that pane is looked at first."""
        for name in dict.fromkeys((*((pane,) if pane else ()), *PANES)):
            for row in offered(rows(self.view, name, self.system), self._offers):
                if row.act == act:
                    return name, row
        return None

    def go(self, place: tuple[str, Row] | None) -> None:
        """Ask this row from now on, until it is answered; None: what is next."""
        self._gone = place
        self.told = ()
        self.ask_anew()

    def ask_anew(self) -> None:
        """Read the question out in full the next time."""
        self._to_ask = True

    def keep_quiet(self) -> None:
        """What was just said needs no reminder of the question behind it."""
        self._to_remind = False

    def offered(self, asked: Question) -> str:
        """What Enter alone takes; empty where nothing is offered."""
        return self.entries.of(asked.row.submits) or asked.row.prefill

    def _ask(self) -> None:
        asked = self.question()
        if asked is None:
            self._say_ended()
        elif self._to_ask:
            self._read_out(asked)
        elif self._to_remind:
            self.paper.say(f"Still asked: {what(self.view, asked)}")
            self.paper.say(self._offer(asked))
        self._to_ask, self._to_remind = False, True

    def _read_out(self, asked: Question) -> None:
        caution = guarded(asked.row.act) or asked.row.caution != self._caution
        self._caution = asked.row.caution or self._caution
        self.paper.gap()
        for text, indent in lines_of(self.view, asked, self.visit.instruments, self.system, caution=caution):
            self.paper.say(text, indent)
        self.paper.say(self._offer(asked))

    def _offer(self, asked: Question) -> str:
        typed = self.entries.of(asked.row.submits)
        if self.entries.is_reason(asked.row.submits):
            return f"Enter alone notes that it cannot be done: {typed}"
        if typed:
            waits = asked.row.label in self.entries.unsaved
            return f"Enter alone takes {'what is not saved yet' if waits else 'what was typed'}: {typed}"
        return f"Enter alone takes: {asked.row.prefill}" if asked.row.prefill else ""

    def _say_ended(self) -> None:
        if self._to_ask:
            self.paper.gap()
            self.paper.say(self.view.next.text)
            self.paper.say(f"Why: {self.view.next.why}" if self.view.next.why else "")
        if self.view.state.signature:
            self.paper.say("Nothing more is asked. Enter alone leaves.")
        else:
            self.paper.say("Nothing more is asked. .help lists what else can be done; .leave leaves.")

    def ask_rig(self, rig: Rig, row: Row, held: Mapping[str, str] | None = None) -> Answer:
        """The rig's answer for a row. Raises RigError, and Interrupted where nobody waits for it any more."""
        self._unanswered = row.label
        answer = self._interrupts.waiting(
            lambda: ask(rig, self.view, row.submits, held, self.entries.of(row.submits))
        )
        self._unanswered = ""
        return answer

    # ---- what is answered

    def line(self) -> str | None:
        """A line from the person or the script; None at the end of the input, which leaves."""
        while True:
            self.paper.prompt()
            try:
                line = self._lines.read()
                break
            except TooLong as error:
                self.paper.gap()
                self.paper.say(f"Not taken: {error}")
        if line is None:
            self.paper.gap()
            self.paper.say("The input ended.")
            self.leaving = True
        elif not self._lines.seen:
            self.paper.typed(line)
        return line

    def sure(self) -> bool:
        """Whether the next line says yes."""
        self.paper.say("Answer: y or n.")
        line = self.line()
        return line is not None and line.casefold() in ("y", "yes")

    def _hear(self) -> None:
        line = self.line()
        if line is None:
            return
        if _COMMAND.match(line):
            commands.obey(self, line)
        else:
            self._answer(line)

    def _answer(self, typed: str) -> None:
        asked = self.question()
        if asked is None:
            if typed:
                self.paper.say("Not taken: nothing is asked. .help lists what can be done.")
            elif self.view.state.signature:
                self.leaving = True
        elif typed:
            self.take(asked.row, asked.answer(typed))
        elif offer := self.offered(asked):
            self.take(asked.row, offer, offered=True)
        else:
            self.paper.say(f"Nothing is offered here. Answer: {expected(self.view, asked, self.system)}.")

    def take(self, row: Row, text: str, *, offered: bool = False) -> None:
        """Hand an entry to the visit, and say what came of it."""
        act = row.submits
        if self.entries.is_reason(act) and text != self.entries.of(act):
            self.entries.empty(act)
        cannot = self.entries.is_reason(act)
        before = self.view
        said = self.entries.take(row, text, self.system)
        if said.taken:
            told_of = f"cannot be done, {text}" if cannot else text
            self.paper.say(told.taken(self.view, row, told_of, self.system))
            self.go(None)
            self.tell(before)
            return
        self.refuse(said)
        if self.entries.failed:
            self._gone = self.row(act) or (self.view.next.pane, row)
        elif offered or cannot:
            self.entries.empty(act)

    def refuse(self, said: Said) -> None:
        """Say why something was not taken, or not saved."""
        if self.entries.failed:
            self.paper.say(f"{self.entries.failed} What was entered is kept.")
        self.paper.say(said.text)

    def tell(self, before: View) -> None:
        """Say which verdicts changed since."""
        self.paper.say_all(told.verdicts(before, self.view), "  ")
        self.told = tuple(f.key for f in told.changed(before, self.view))


def run_dialog(
    visit: Visit,
    rig: Rig | None = None,
    system: str = "ip",
    offers: Mapping[Act, str] = NOTHING,
    lesson: Lesson | None = None,
) -> int:
    """Ask and answer a visit on standard input and output until it is left; closes visit and rig.

    `offers` are texts that Enter alone takes on rows that hold nothing yet, by act; `lesson` is the drill
    that a visit is.
    """
    drafts = drafts_of(visit)
    try:
        dialog = Dialog(
            visit, rig, sys.stdin, sys.stdout, system=system, drafts=drafts, offers=offers, lesson=lesson
        )
        return dialog.run()
    finally:
        visit.close()
        if rig is not None:
            rig.close()
