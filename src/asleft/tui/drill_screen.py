"""The wizard on a drill: the trainee's hands are free, and what they must not do is a breach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from textual import on
from textual.message import Message

from asleft.drill.classroom.client import Lesson
from asleft.drill.classroom.hands import Held
from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts
from asleft.face.entries import Said
from asleft.face.rows import Row
from asleft.journal import read
from asleft.session.acts import Act, Finish, Look, ReadBack, Report, Write
from asleft.session.fields import Field
from asleft.tui.asking import Answered
from asleft.tui.drill_pages import BreachPage, DebriefPage, HandsPage, ReportPage
from asleft.tui.keys import ACTIONS, Action, key_of, of_a_drill
from asleft.tui.wizard import WizardScreen
from asleft.visit import Refused, SaveFailed, Visit


class Scored(Message):
    """A finished drill was scored: its debrief, or why it could not be."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__()
        self.lines = tuple(lines)


class DrillScreen(WizardScreen):
    """The same screen, with virtual instruments, reports and an end."""

    def __init__(
        self,
        visit: Visit,
        rig: Rig | None,
        system: str,
        drafts: Drafts,
        offers: Mapping[Act, str],
        actions: Sequence[Action] = of_a_drill(ACTIONS),
        notice: str = "",
        *,
        lesson: Lesson,
    ) -> None:
        brief = lesson.brief
        report = key_of(actions, "report")
        begin = f"Drill: {brief.title}. {report} reports a fault; the sign-off pane ends the drill."
        super().__init__(visit, rig, system, drafts, offers, actions, notice or begin)
        self._said = Said(notice or begin, bad=bool(notice))
        self._lesson = lesson

    # ---- the instruments

    def action_ask_rig(self) -> None:
        """Ask the hidden unit for the row under the cursor; what hands must not do is a breach."""
        row = self.row
        field = self.view.ledger.fields.get(row.field) if row is not None else None
        if row is None or row.act is None or not self._asking.there:
            super().action_ask_rig()
        elif self._broken(row.act, None):
            return
        elif field is not None and field.instrument and self._lesson.own_hands:
            if forbidden := self._visit.forbidden(row.act):
                self.say(f"Nothing to read: {forbidden}", bad=True)
                return
            page = HandsPage(self.view, field, self._lesson.hand(field))
            self.app.push_screen(page, partial(self._in_hand, row.act, field))
        else:
            super().action_ask_rig()

    def _in_hand(self, act: Act, field: Field, held: Held | None) -> None:
        """The instrument is put there as it was set."""
        if held is None:
            return
        self._lesson.held[field.instrument] = held
        if self._broken(act, held):
            return
        self.say("Reading; Esc stops waiting.")
        self._asking.ask(self.view, act, held.as_mapping())

    def _broken(self, act: Act, held: Held | None) -> bool:
        """Whether an act breaks a hold: only told where the sheet says so, else recorded."""
        breach, only_told = self._lesson.breach(self._visit, act, held)
        if breach is None:
            return False
        key = key_of(self._actions, "ask_rig")
        if only_told:
            self.say(f"Locked: {breach.because}. {key} again does it all the same: a breach.", bad=True)
            return True
        try:
            self._visit.submit(breach.act, breach.happens)
        except (Refused, SaveFailed) as error:
            self.say(f"Not saved: {error}", bad=True)
            return True
        self._said = Said(f"BREACH of {breach.broke}, recorded. Nothing was done.", bad=True)
        self.draw()
        self.app.push_screen(BreachPage(breach))
        return True

    @on(Answered)
    def _answered(self, event: Answered) -> None:
        if event.held and event.answer.refused:
            # What a display shows is no reason why a row cannot be done.
            if self._asking.ends(event.act):
                self.say(f"Instrument: {event.answer.refused}.", bad=True)
            return
        super()._answered(event)

    # ---- reports

    def possible(self, action: str) -> bool:
        """Whether an action would do anything now."""
        return not self.view.state.revealed if action == "report" else super().possible(action)

    def action_report(self) -> None:
        """Report the fault that the row under the cursor shows."""
        row = self.row
        evidence = evidence_of(self, row) if row is not None else ()
        if self.view.state.revealed:
            self.say("This drill is over.")
        elif row is None or not evidence:
            self.say("Stand on the row whose entry or finding shows the fault, then report it.", bad=True)
        else:
            entry = self.view.state.latest(row.field)
            shown = [f"{row.label}: {entry.typed}"] if entry else [f"{row.label}, {e}" for e in evidence]
            self.app.push_screen(ReportPage(self._lesson.brief.possible, evidence, shown), self._reported)

    def _reported(self, typed: str | None) -> None:
        if typed is None:
            return
        try:
            self._visit.submit(Report(), typed)
        except (Refused, SaveFailed) as error:
            self._entries.type(Report(), typed)
            self.say(f"Not taken: {error} It is kept in the row Report a fault.", bad=True)
            return
        self.say(f"Saved {self.view.state.last_n}: reported {typed}")

    # ---- the end

    def _done(self, said: Said, *, obeyed: bool = True) -> None:
        super()._done(said, obeyed=obeyed)
        state = self.view.state
        if said.taken and state.revealed:
            self.say("The drill is over; it is being scored.")
            self.run_worker(self._score, thread=True, group="score")
        elif said.taken and state.signature is not None:
            self.go_to(Finish())
            self.say("Signed. Finish the drill here; the debrief follows.")

    def _score(self) -> None:
        from asleft.drill.classroom.ended import NotADrill, ended
        from asleft.drill.classroom.sheet import SheetErrors

        try:
            lines: Sequence[str] = ended(read(self._visit.path).events, self._visit.equipment).lines
        except (NotADrill, SheetErrors, OSError) as error:
            lines = (str(error),)
        self.post_message(Scored(lines))

    @on(Scored)
    def _scored(self, event: Scored) -> None:
        self.say("The drill is over. asleft drill --debrief tells of it again.")
        self.app.push_screen(DebriefPage(event.lines))


def evidence_of(screen: DrillScreen, row: Row) -> tuple[str, ...]:
    """What a row has to show: its entry, its setting as last seen, else its findings that fail."""
    view = screen.view
    if view.state.latest(row.field) is not None:
        return (row.field,)
    act = row.act
    if isinstance(act, Look | Write | ReadBack) and any(
        (done.setting, done.address) == (act.setting, act.address) for done in view.state.acts
    ):
        return (act.place,)
    found = [view.finding(key) for key in row.findings]
    return tuple(f"{f.id}/{f.subject}" for f in found if f is not None and f.failed and f.rests_on)
