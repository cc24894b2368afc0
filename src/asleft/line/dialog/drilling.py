"""A drill as questions and answers: instruments by hand, breaches, reports, hints, the end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from asleft.drill.classroom.hands import Held, instruments_kept, places, ranges_of
from asleft.installation.faults import FAULTS
from asleft.journal import read
from asleft.session.acts import Finish, Hint, Report
from asleft.visit import Refused, SaveFailed
from asleft.visit.drill_acts import BY, RIGHT, next_hint

if TYPE_CHECKING:
    from asleft.line.dialog.dialog import Dialog
    from asleft.session.acts import Act
    from asleft.session.fields import Field

NO_DRILL = "Not taken: this is no drill."


def broken(dialog: Dialog, act: Act, held: Held | None = None) -> bool:
    """Whether an act breaks a hold: told where the sheet says so, else recorded and read out."""
    if dialog.lesson is None:
        return False
    breach, only_told = dialog.lesson.breach(dialog.visit, act, held)
    if breach is None:
        return False
    if only_told:
        dialog.paper.say(f"Locked: {breach.because}. .rig again does it all the same: a breach.")
        return True
    before = dialog.view
    try:
        dialog.visit.submit(breach.act, breach.happens)
    except (Refused, SaveFailed) as error:
        dialog.paper.say(f"Not saved: {error}")
        return True
    dialog.paper.say(f"BREACH of {breach.broke}, recorded. {breach.sentence}")
    dialog.paper.say(f"What would have happened: {breach.happens} Nothing was done; the drill goes on.")
    dialog.tell(before)
    return True


def in_hand(dialog: Dialog, field: Field) -> Held | None:
    """Ask how an instrument is set and where it is put; None where that was not answered."""
    assert dialog.lesson is not None
    kept, now = instruments_kept()[field.instrument], dialog.lesson.hand(field)
    dial = _one(dialog, "Dial", kept.dials, now.dial)
    if dial is None:
        return None
    if dial == kept.dials[0]:
        dialog.paper.say("It is off, and shows nothing.")
        return None
    ranges = ranges_of(field.instrument, dial)
    known = now.range if now.dial == dial else ranges[0]
    chosen = known if len(ranges) == 1 else _one(dialog, "Range", ranges, known)
    every = places(dialog.view.ledger.fields, field)
    labels = [place.label for place in every]
    put = next((place.label for place in every if place.id == now.at), "")
    where = _one(dialog, kept.placed.capitalize(), labels, put) if chosen else None
    if chosen is None or where is None:
        return None
    held = Held(dial, chosen, every[labels.index(where)].id)
    dialog.lesson.held[field.instrument] = held
    return held


def _one(dialog: Dialog, name: str, every: Sequence[str], now: str) -> str | None:
    dialog.paper.say(f"{name}: " + ", ".join(f"{n} {choice}" for n, choice in enumerate(every, 1)) + ".")
    dialog.paper.say(f"Enter alone leaves it at {now}." if now else "Answer with its number.")
    line = dialog.line()
    if line is None:
        return None
    if not line and now:
        return now
    if line.isascii() and line.isdigit() and 1 <= int(line[:4]) <= len(every):
        return every[int(line) - 1]
    if line in every:
        return line
    dialog.paper.say(f"Not taken: {line!r} is none of them. Nothing was read.")
    return None


def report(dialog: Dialog, more: str) -> None:
    """Report a fault; without evidence named, by what is asked or was judged last."""
    if dialog.lesson is None:
        dialog.paper.say(NO_DRILL)
    elif not more:
        can = dialog.lesson.brief.possible
        dialog.paper.say(f"Write .report {RIGHT}")
        dialog.paper.say_all(
            f"{kind}: {FAULTS[kind].called}" + (f"; at {', '.join(where)}" if any(where) else "")
            for kind, where in can.items()
            if kind in FAULTS
        )
    else:
        if not BY.search(more):
            shown = ", ".join(key.replace(" ", "/", 1) for key in dialog.told)
            more = f"{more} by {shown}" if shown else more
        _submit(dialog, Report(), more)


def hint(dialog: Dialog, _: str) -> None:
    """Ask for the next hint."""
    from asleft.drill.rig import RigError, ask

    if dialog.lesson is None or dialog.rig is None:
        dialog.paper.say(NO_DRILL)
        return
    act = Hint(next_hint(dialog.view))
    try:
        answer = ask(dialog.rig, dialog.view, act)
    except RigError as error:
        dialog.paper.say(f"Rig: {error}")
        return
    if answer.refused:
        dialog.paper.say(f"No hint: {answer.refused}.")
        return
    if _submit(dialog, act, answer.typed):
        dialog.paper.say(answer.typed)


def finish(dialog: Dialog, _: str) -> None:
    """End the drill, and read out what came of it."""
    from asleft.drill.classroom.ended import NotADrill, ended
    from asleft.drill.classroom.sheet import SheetErrors

    if dialog.lesson is None:
        dialog.paper.say(NO_DRILL)
        return
    unsigned = "" if dialog.view.state.signature else "It is not signed yet. "
    dialog.paper.say(f"{unsigned}The drill ends for good, and its sheet is revealed.")
    if not dialog.sure() or not _submit(dialog, Finish(), "yes"):
        return
    try:
        dialog.paper.say_all(ended(read(dialog.visit.path).events, dialog.visit.equipment).lines)
    except (NotADrill, SheetErrors, OSError) as error:
        dialog.paper.say(str(error))


def _submit(dialog: Dialog, act: Act, typed: str) -> bool:
    before = dialog.view
    try:
        dialog.visit.submit(act, typed, system=dialog.system)
    except (Refused, SaveFailed) as error:
        dialog.paper.say(f"Not taken: {error}")
        return False
    dialog.paper.say(f"Saved as entry {dialog.view.state.last_n}.")
    dialog.tell(before)
    return True
