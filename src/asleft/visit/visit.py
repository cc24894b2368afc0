"""The one room with state: an open journal and its view. Every face goes through `submit`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft import __version__
from asleft.journal import Broken, Journal, JournalError, NotSealed, Signer, header_bytes, sign, stem
from asleft.session.acts import Act, Finish, NotAnAct, Retract, Review, Seal, parse
from asleft.session.commitment import commitment
from asleft.session.events import Event, read_all
from asleft.session.payloads import Entered, Hinted, Payload, Resumed, Revealed, Reviewed, Sealed
from asleft.session.saying import what_of
from asleft.session.sound import sensible
from asleft.session.state import fold, fold_all
from asleft.visit.acts import read_act
from asleft.visit.guarding import forbidden, guard
from asleft.visit.refusal import Refused
from asleft.visit.times import proved_time
from asleft.visit.undo import last_act, last_undo
from asleft.visit.view import View, look
from asleft.visit.words import plain, some

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile, Instrument
    from asleft.session.state import State

RULES = "2026-11"
"""Version of the rules; a finding may differ between two of them."""

Clock = Callable[[], str]


class SaveFailed(OSError):
    """The entry could not be put on disk; it is not part of the session, and nothing typed is lost."""


class Visit:
    """An open session: one writer, one view. `clock` gives UTC as `YYYY-MM-DDTHH:MM:SSZ`.

    `zone` is what the clock on the wall is ahead of that, as +HH:MM; UTC where nobody says. `begins`: what it
    holds already belongs to this sitting.
    """

    def __init__(
        self,
        journal: Journal,
        equipment: EquipmentFile,
        instruments: Mapping[str, Instrument],
        *,
        by: str,
        clock: Clock,
        zone: str = "",
        begins: bool = False,
    ) -> None:
        self._journal = journal
        self._clock = clock
        self._zone = zone
        self.by = by
        self.equipment = equipment
        self.instruments = instruments
        state = fold_all(read_all(journal.contents.events))
        self._resume = bool(state.history) and not begins
        self.system = "ip"
        self._verdicts: tuple[str, ...] = ()
        self.view = self._seen(state)
        self.signer: Signer = sign
        """Makes a signature over a link with a key. Raises NotSealed."""
        self.finisher: Callable[[], tuple[Sequence[str], str]] | None = None
        """Gives the sheet and salt of a drill at its end. Raises OSError."""
        self.hints_given = 0
        """How many hints the rig of a drill counted, said at its end."""
        self.sealed_with = ""
        """The key that was last sealed with, as it was named."""

    @classmethod
    def create(
        cls,
        folder: Path,
        equipment: EquipmentFile,
        instruments: Mapping[str, Instrument],
        *,
        site: str,
        by: str,
        clock: Clock,
        session_id: str,
        mode: str = "job",
        follows: str = "",
        entries: Sequence[Mapping[str, Any]] = (),
    ) -> Visit:
        """A new session in a folder, with `entries` in it already. Raises SaveFailed where it cannot be."""
        header = header_bytes(
            id=session_id,
            mode=mode,
            app=f"asleft {__version__}",
            rules=RULES,
            opened_by=by,
            follows=follows or None,
            equipment_text=equipment.text,
        )
        name = stem(clock()[:10], site, equipment.equipment.unit.id)
        try:
            journal = Journal.create(folder, name, header)
        except JournalError as error:
            raise SaveFailed(str(error)) from error
        try:
            journal.append(entries)
        except BaseException as error:
            journal.close()
            journal.path.unlink(missing_ok=True)
            if isinstance(error, JournalError):
                raise SaveFailed(str(error)) from error
            raise
        # What a visit begins with is no earlier sitting, unless it goes on from another session.
        return cls(journal, equipment, instruments, by=by, clock=clock, begins=not follows)

    @classmethod
    def open(
        cls,
        path: Path,
        instruments: Mapping[str, Instrument],
        *,
        by: str,
        clock: Clock,
        zone: str = "",
        equipment: EquipmentFile | None = None,
    ) -> Visit:
        """An existing session, its equipment file taken from the session itself.

        Raises JournalError or NotASession where it may not be written to, EquipmentErrors where its
        equipment lines do not load.
        """
        from asleft.equipment.load import load_bytes

        with ExitStack() as opened:
            journal = opened.enter_context(Journal.open(path))
            own = equipment or load_bytes(journal.contents.equipment_text.encode(), path.name)
            _, odd = sensible(read_all(journal.contents.events), own.equipment)
            if odd:
                raise Broken(f"{path}: {odd[0]}.")
            visit = cls(journal, own, instruments, by=by, clock=clock, zone=zone)
            opened.pop_all()
        return visit

    @property
    def path(self) -> Path:
        """The session file."""
        return self._journal.path

    @property
    def torn_kept(self) -> Path | None:
        """Where a torn tail cut on opening is kept."""
        return self._journal.torn_kept

    def enter(self, left: str, typed: str, *, system: str = "ip", read_at: str = "") -> View:
        """Take one act as `asleft enter FILE LEFT=TYPED` has it; `read_at` is when a reading was taken.

        Raises what `submit` raises.
        """
        try:
            act = parse(left)
        except NotAnAct as error:
            raise Refused(error.what, error.expected) from error
        if read_at:
            read_at = proved_time(self.view, act, read_at, self._clock())
        return self.submit(act, typed, read_at, system=system)

    def submit(self, act: Act, typed: str, read_at: str = "", *, system: str = "ip") -> View:
        """Take one act: refuse it, or put it on disk and give the new view.

        `read_at` is when a reading was taken, in UTC, by the clock of what took it.
        Raises Refused (what was wrong, what would be right, the holds in the way) or SaveFailed.
        """
        match act:
            case Seal():
                return self._seal(typed)
            case Finish():
                return self._finish(typed)
            case Review():
                return self._review(act, typed)
        if self.view.state.revealed:
            raise Refused("this drill is over and its sheet revealed", "asleft drill --debrief tells of it")
        opened_at = self._look_again()
        what = read_act(self.view, self.instruments, act, typed, system)
        if read_at and isinstance(what, Entered):
            what = replace(what, read_at=read_at)
        guard(self.view, what)
        return self._record([Resumed(self._zone), what] if self._resume else [what], opened_at)

    def _finish(self, typed: str) -> View:
        """End a drill with the sheet and salt that its rig gives. The visit does not go on by it."""
        state = self.view.state
        if not state.drilled:
            raise Refused("this is no drill, and has no end of its own", "sign=OUTCOME ends a visit")
        if state.revealed:
            raise Refused("this drill is over already", "asleft drill --debrief tells of it")
        if self.finisher is None:
            raise Refused("the rig of this drill is not here to end it", "asleft open FILE, row Finish")
        if not typed.strip() or not "yes".startswith(typed.strip().casefold()):
            raise Refused("the drill goes on", "yes ends it")
        try:
            sheet, salt = self.finisher()
        except OSError as error:
            raise Refused(str(error).rstrip(".")) from error
        if commitment(sheet, salt) != state.drilled:
            raise Refused(
                "the sheet that the rig gives is not the one that this drill began with",
                "the rig that the drill was begun with",
            )
        said = sum(isinstance(event.what, Hinted) for event in state.history)
        return self._record(
            [Revealed(tuple(sheet), salt, self.hints_given if self.hints_given > said else 0)]
        )

    def _review(self, act: Review, typed: str) -> View:
        """Record what another person says of the record as it stands. The visit does not go on by it."""
        state = self.view.state
        if not state.history:
            raise Refused("there is nothing to review yet", "a review judges entries")
        who, why = some(plain(self.by), "who reviews it"), some(plain(typed), "why")
        theirs = (state.text("identity.technician"), state.signature and state.signature.by)
        if any(name and name.strip().casefold() == who.casefold() for name in theirs):
            raise Refused(f"{who} did this work and cannot review it", "another person, named with --by")
        return self._record([Reviewed(act.outcome, why, self._journal.contents.link)])

    def _seal(self, key: str) -> View:
        """Have the newest event's link signed with a key, and record that. The visit does not go on by it."""
        state = self.view.state
        if not state.history:
            raise Refused("there is nothing to seal yet", "a seal vouches for entries")
        key = key.strip()
        if not key:
            raise Refused("no key was named", "the path of an OpenSSH key, such as ~/.ssh/id_ed25519")
        try:
            lines = self.signer(self._journal.contents.link, Path(key).expanduser())
        except (NotSealed, RuntimeError) as error:
            raise Refused(str(error).rstrip(".")) from error
        view = self._record([Sealed(state.last_n, tuple(lines))])
        self.sealed_with = key
        return view

    def _record(self, happened: Sequence[Payload], first_at: str = "") -> View:
        """Put what happened on disk as events, with the verdicts that it changes, and see what it gives.

        `first_at` is the time of the first of them, where that was judged already.
        """
        state = self.view.state
        events: list[Event] = []
        for what in happened:
            at = self._clock() if events or not first_at else first_at
            event = Event(state.last_n + 1, at, self.by, what)
            state = fold(state, event)
            events.append(event)
        view = look(self.equipment.equipment, state, self.system)
        before = set(self._verdicts)
        changed = [v for v in view.verdicts() if v not in before]
        blocks = [event.written() for event in events]
        if changed:
            blocks[-1]["verdicts"] = changed
        try:
            self._journal.append(blocks)
        except JournalError as error:
            raise SaveFailed(f"Not saved: {error}") from error
        self._resume = self._resume and not isinstance(happened[0], Resumed)
        self._verdicts = view.verdicts()
        self.view = self._seen(state) if self._resume else view
        return self.view

    def _seen(self, state: State, at: str = "") -> View:
        """The view to whoever works now: where work is resumed, a word given before may have lapsed.

        That is judged before the first act, since `resumed` goes on record with it and not alone. `at` is
        when it is resumed, now unless it is said.
        """
        view = look(self.equipment.equipment, state, self.system)
        self._verdicts = view.verdicts()
        if not self._resume:
            return view
        resumed = Event(state.last_n + 1, at or self._clock(), self.by, Resumed(self._zone))
        ahead = look(self.equipment.equipment, fold(state, resumed), self.system)
        return replace(view, findings=ahead.findings, next=ahead.next)

    def _look_again(self) -> str:
        """Before the first act after opening more may have lapsed: when that was judged; else nothing."""
        if not self._resume:
            return ""
        at = self._clock()
        seen = self._seen(self.view.state, at)
        if (seen.findings, seen.next) != (self.view.findings, self.view.next):
            self.view = seen
        return at

    def read_in(self, system: str) -> View:
        """The view with its words in other units, ip or si. Nothing is recorded: a reading is what it was."""
        if system == self.system:
            return self.view
        self.system = system
        self.view = self._seen(self.view.state)
        return self.view

    def move(self, folder: Path) -> Path:
        """Carry on in another place where this one can no longer be written: same bytes, then on.

        Raises JournalError where that place cannot be written either.
        """
        copy = self._journal.copy_to(folder)
        self._journal.close()
        self._journal = copy
        return copy.path

    @property
    def session_id(self) -> str:
        """The id in the header."""
        return str(self._journal.contents.header["session"]["id"])

    @property
    def mode(self) -> str:
        """job, demo or drill."""
        return str(self._journal.contents.header["session"]["mode"])

    def undoable(self) -> str:
        """What undo would take back, in words; empty where there is nothing."""
        event = last_act(self.view.state)
        return self._named(event) if event else ""

    def redoable(self) -> str:
        """What redo would bring back, in words; empty if nothing."""
        found = last_undo(self.view.state)
        return self._named(found[1]) if found else ""

    def _named(self, event: Event) -> str:
        return f"event {event.n}, {what_of(event, self.view.ledger)}"

    def undo(self, why: str = "undone") -> View:
        """Retract the newest event that can be. Raises Refused where there is none."""
        event = last_act(self.view.state)
        if event is None:
            raise Refused("there is nothing to undo")
        return self.submit(Retract(event.n), why)

    def redo(self, why: str = "redone") -> View:
        """Retract the newest retraction, if nothing else happened since. Raises Refused if there is none."""
        found = last_undo(self.view.state)
        if found is None:
            raise Refused("there is nothing to redo")
        return self.submit(Retract(found[0].n), why)

    def close(self) -> None:
        """Let go of the file."""
        self._journal.close()

    def forbidden(self, act: Act) -> Refused | None:
        """Why an act may not be begun now, before anybody does it; None where it may."""
        self._look_again()
        return forbidden(self.view, act)
