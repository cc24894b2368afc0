"""The one room with state: an open journal and its view. Every face goes through `submit`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft import __version__
from asleft.guide import holds_on
from asleft.journal import Broken, Journal, JournalError, NotSealed, header_bytes, sign, stem
from asleft.sequence.guards import (
    COMMISSIONED,
    ENABLING,
    NOT_COMMISSIONED,
    POWER_ON,
    acts_of_field,
    acts_of_write,
    power_of_field,
)
from asleft.session.commitment import commitment
from asleft.session.sound import senseless
from asleft.session.state import CANNOT_RETRACT, Event, fold, fold_all
from asleft.visit.acts import read_act
from asleft.visit.drafts import Draft, Refused
from asleft.visit.view import View, look

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import EquipmentFile, Instrument

RULES = "2026-11"
"""Version of the rules; a finding may differ between two of them."""

SEAL = "seal"
"""The act that seals what is recorded, with a key that is typed as its path."""

FINISH = "finish"
"""The act that ends a drill: its rig is asked for the sheet."""

REVIEW = "review:"
"""How an act begins that accepts a session or sends it back."""

Clock = Callable[[], str]


class SaveFailed(OSError):
    """The entry could not be put on disk; it is not part of the session, and nothing typed is lost."""


class Visit:
    """An open session: one writer, one view. `clock` gives UTC as `YYYY-MM-DDTHH:MM:SSZ`."""

    def __init__(
        self,
        journal: Journal,
        equipment: EquipmentFile,
        instruments: Mapping[str, Instrument],
        *,
        by: str,
        clock: Clock,
    ) -> None:
        self._journal = journal
        self._clock = clock
        self.by = by
        self.equipment = equipment
        self.instruments = instruments
        state = fold_all(Event.from_mapping(e) for e in journal.contents.events)
        self._resume = bool(state.history)
        self.system = "ip"
        self.view = look(equipment.equipment, state)
        self.signer: Callable[[str, Path], Sequence[str]] = sign
        """Makes a signature over a link with a key. Raises NotSealed."""
        self.finisher: Callable[[], tuple[Sequence[str], str]] | None = None
        """Gives the sheet and salt of a drill at its end. Raises OSError."""
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
        visit = cls(journal, equipment, instruments, by=by, clock=clock)
        # What a visit begins with is no earlier sitting, unless it goes on from another session.
        visit._resume = bool(follows)
        return visit

    @classmethod
    def open(
        cls,
        path: Path,
        instruments: Mapping[str, Instrument],
        *,
        by: str,
        clock: Clock,
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
            for item in journal.contents.events:
                event = Event.from_mapping(item)
                if wrong := senseless(event, own.equipment):
                    raise Broken(f"{path}: event {event.n} cannot be what this program wrote: {wrong}.")
            visit = cls(journal, own, instruments, by=by, clock=clock)
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

    def submit(self, left: str, typed: str, *, system: str = "ip") -> View:
        """Take one act: refuse it, or put it on disk and give the new view.

        Raises Refused (what was wrong, what would be right, the holds in the way) or SaveFailed.
        """
        if left.strip() == SEAL:
            return self._seal(typed)
        if left.strip() == FINISH:
            return self._finish(typed)
        if left.strip().startswith(REVIEW):
            # A review judges the record as it stands; the visit does not go on by it.
            return self._record([read_act(self.view, self.instruments, left, typed, system)])
        if self.view.state.revealed:
            raise Refused("this drill is over and its sheet revealed", "asleft drill --debrief tells of it")
        draft = read_act(self.view, self.instruments, left, typed, system)
        self._guard(draft)
        drafts = [Draft("resumed", {}), draft] if self._resume else [draft]
        view = self._record(drafts)
        self._resume = False
        return view

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
        return self._record([Draft("revealed", {"sheet": list(sheet), "salt": salt})])

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
        view = self._record([Draft("sealed", {"of": state.last_n, "signature": list(lines)})])
        self.sealed_with = key
        return view

    def _record(self, drafts: Sequence[Draft]) -> View:
        """Put drafts on disk as events, with the verdicts that they change, and see what they give."""
        state, events = self.view.state, []
        for item in drafts:
            event = Event(state.last_n + 1, self._clock(), self.by, item.kind, item.data)
            state = fold(state, event)
            events.append(event)
        view = look(self.equipment.equipment, state, self.system)
        before = set(self.view.verdicts())
        changed = [v for v in view.verdicts() if v not in before]
        blocks = [_block(e) for e in events]
        if changed:
            blocks[-1]["verdicts"] = changed
        try:
            self._journal.append(blocks)
        except JournalError as error:
            raise SaveFailed(f"Not saved: {error}") from error
        self.view = view
        return view

    def read_in(self, system: str) -> View:
        """The view with its words in other units, ip or si. Nothing is recorded: a reading is what it was."""
        if system == self.system:
            return self.view
        self.system = system
        self.view = look(self.equipment.equipment, self.view.state, system)
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

    def _last_act(self) -> Event | None:
        """The newest event that undo would take back."""
        state = self.view.state
        fixed = {"retracted", *CANNOT_RETRACT}
        return next(
            (e for e in reversed(state.history) if e.kind not in fixed and e.n not in state.retracted), None
        )

    def _last_undo(self) -> Event | None:
        """The retraction that redo would take back: the newest, if nothing else happened since."""
        state = self.view.state
        for event in reversed(state.history):
            if event.kind != "retracted":
                return None
            target = next((e for e in state.history if e.n == event.data["of"]), None)
            if event.n not in state.retracted and target is not None and target.kind != "retracted":
                return event
        return None

    def undoable(self) -> str:
        """What undo would take back, in words; empty where there is nothing."""
        event = self._last_act()
        return f"event {event.n}, {self._in_words(event)}" if event else ""

    def redoable(self) -> str:
        """What redo would bring back, in words; empty if nothing."""
        event = self._last_undo()
        target = next((e for e in self.view.state.history if event and e.n == event.data["of"]), None)
        return f"event {target.n}, {self._in_words(target)}" if target else ""

    def _in_words(self, event: Event) -> str:
        """An event as a person would name it."""
        data, ledger = event.data, self.view.ledger
        if field := ledger.fields.get(str(data.get("field", ""))):
            what = field.label
        elif topic := self.view.equipment.topic_of(str(data.get("topic", ""))):
            what = topic.label
        elif setting := self.view.equipment.setting_of(str(data.get("setting", ""))):
            what = setting.label
        else:
            what = str(data.get("id") or data.get("text", ""))
        value = data.get("typed") or data.get("option") or data.get("shown") or data.get("state") or ""
        return " ".join(part for part in (_ACTS[event.kind], what, str(value)) if part)

    def undo(self, why: str = "undone") -> View:
        """Retract the newest event that can be. Raises Refused where there is none."""
        event = self._last_act()
        if event is None:
            raise Refused("there is nothing to undo")
        return self.submit(f"retract:{event.n}", why)

    def redo(self, why: str = "redone") -> View:
        """Retract the newest retraction, if nothing else happened since. Raises Refused if there is none."""
        event = self._last_undo()
        if event is None:
            raise Refused("there is nothing to redo")
        return self.submit(f"retract:{event.n}", why)

    def close(self) -> None:
        """Let go of the file."""
        self._journal.close()

    def _guard(self, draft: Draft) -> None:
        """Holds guard acts, for every face and in every order. Raises Refused."""
        ledger = self.view.ledger
        acts: tuple[str, ...] = ()
        power = ""
        what = draft.kind
        match draft.kind:
            case "entered" if field := ledger.fields.get(draft.data["field"]):
                acts, power, what = acts_of_field(field), power_of_field(field), field.label
            case "found" | "wrote" | "read_back" if setting := self.view.equipment.setting_of(
                draft.data["setting"]
            ):
                power, what = setting.power, setting.label
                if draft.kind == "wrote":
                    value = self.view.equipment.value_of(setting.id, draft.data["shown"])
                    acts = acts_of_write(ledger, setting.id, value)
                    if ledger.shown(setting.id, draft.data["address"]) == value:
                        # A write that did not take enables nothing that was not enabled before.
                        acts = tuple(act for act in acts if act != ENABLING)
                    if not ledger.acts_on(setting.id, draft.data["address"]):
                        raise Refused(
                            f"{setting.label} has no as-found value on record",
                            f"found:{setting.id}@{draft.data['address']} first",
                        )
                elif setting.power == "off":
                    acts = ("hands inside",)
            case "powered" if draft.data["state"] == "on":
                acts, what = (POWER_ON,), "power on"
            case "signed":
                commissioned = draft.data["outcome"] == "commissioned"
                acts = (COMMISSIONED,) if commissioned else (NOT_COMMISSIONED,)
                what = f"signing as {draft.data['outcome']}"
        if power and power != self.view.state.power:
            raise Refused(
                f"{what} is taken with power {power}, and power is {self.view.state.power}",
                f"power={power} first",
            )
        holds = holds_on(self.view.findings, acts)
        if holds:
            reasons = "; ".join(f"{f.id}, {f.text.rstrip('.')}" for f in holds[:3])
            raise Refused(f"{what} is locked by {reasons}", self._way_out(draft, holds), holds)

    def _way_out(self, draft: Draft, holds: tuple[Finding, ...]) -> str:
        """What would open a lock; where a hold rests on what the same field reads now, taking that back."""
        do = holds[0].do
        entry = self.view.state.latest(str(draft.data.get("field", "")))
        if entry is not None and any(entry.n in hold.rests_on for hold in holds):
            return f"if event {entry.n}, {entry.typed}, was mistyped, take it back; else {do}"
        return do

    def forbidden(self, left: str) -> Refused | None:
        """Why an act may not be begun now, before anybody does it; None where it may."""
        head, colon, rest = left.partition(":")
        try:
            if not colon:
                state = "off" if self.view.state.power == "on" else "on"
                power = Draft("powered", {"state": state})
                self._guard(power if head == "power" else Draft("entered", {"field": head}))
            elif head in ("found", "wrote", "read_back"):
                id, _, address = rest.partition("@")
                shown = self.view.ledger.planned().get((id, address), "")
                self._guard(Draft(head, {"setting": id, "address": address, "shown": shown}))
        except Refused as refused:
            return refused
        return None


_ACTS = {
    "entered": "entered",
    "used": "instrument",
    "chose": "chosen",
    "found": "found",
    "wrote": "wrote",
    "read_back": "read back",
    "powered": "power",
    "acknowledged": "acknowledged",
    "waived": "waived",
    "noted": "noted",
}
"""What was done, in a word, for every kind that can be taken back."""


def _block(event: Event) -> dict[str, Any]:
    return {"n": event.n, "at": event.at, "by": event.by, "kind": event.kind, **event.data}
