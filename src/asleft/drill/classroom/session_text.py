"""The text of a session that a trainee hands a rig for the sheet: whether it is that drill's, and whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.drill.again import asked
from asleft.drill.classroom.register import key_of
from asleft.drill.classroom.tolerance import near
from asleft.journal import Chain, NotASession, classify
from asleft.session.events import Event, read_all
from asleft.session.fields import field_of
from asleft.session.payloads import Drilled, Entered, FoundSetting, ReadSettingBack, Revealed, WroteSetting
from asleft.session.sound import sensible
from asleft.session.state import State, fold_all
from asleft.session.values import number_of

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


class NotThisDrill(ValueError):
    """A text that no sheet is given for. ``str()`` says why in one sentence, as a refusal does."""


@dataclass(frozen=True)
class Finished:
    """A session that was handed in: its newest link, its events, its state."""

    link: str
    history: tuple[Event, ...]
    state: State


def handed_in(text: object, hash: str, equipment: Equipment) -> Finished:
    """The session of a drill, from the text of its file. Raises NotThisDrill."""
    if not isinstance(text, str):
        raise NotThisDrill("the sheet is given for the text of the session, and none came")
    try:
        contents = classify(text.encode())
    except (UnicodeEncodeError, NotASession):
        raise NotThisDrill("the text that came is no session file") from None
    if contents.chain is not Chain.WHOLE:
        raise NotThisDrill(f"the session is not whole: {contents.trouble.rstrip('.')}")
    history, odd = sensible(read_all(contents.events), equipment)
    begun = [event.what.hash for event in history if isinstance(event.what, Drilled)]
    if begun != [hash] or not isinstance(history[0].what, Drilled):
        raise NotThisDrill("the session is of another drill than this one")
    if odd:
        raise NotThisDrill(f"event {odd[0].n} of the session is nothing that was written there")
    if any(isinstance(event.what, Revealed) for event in history):
        raise NotThisDrill("the session holds its sheet already")
    return Finished(contents.link, history, fold_all(history))


def never_shown(finished: Finished, equipment: Equipment, answers: Mapping[str, set[str]]) -> str:
    """What a session holds as read that the rig did not show, in one sentence; nothing where all of it was.

    Of each reading and setting the newest that stands counts: what was mistyped can be entered again. What
    people know without an instrument, such as a name, is theirs to say.
    """
    newest: dict[str, tuple[Event, str]] = {}
    for event, requests in asked(equipment, finished.history):
        if event.n not in finished.state.retracted and requests:
            place = _place(event)
            if place:
                newest[place] = event, key_of(requests[-1])
    for place, (event, key) in newest.items():
        if not any(_same(event, shown, equipment) for shown in answers.get(key, ())):
            held = f"event {event.n} holds {_held(event)[:80]!r} for {place}"
            return f"{held}, which this rig never showed there; take it back, or read it again"
    return ""


def _place(event: Event) -> str:
    match event.what:
        case Entered() as what:
            field = field_of(what.field)
            return what.field if field is not None and field.measured else ""
        case FoundSetting() | WroteSetting() | ReadSettingBack() as what:
            return f"{what.setting}@{what.address}"
        case _:
            return ""


def _held(event: Event) -> str:
    match event.what:
        case Entered() as what:
            return what.typed
        case FoundSetting() | WroteSetting() | ReadSettingBack() as what:
            return what.shown
        case _:
            return ""


def _same(event: Event, shown: str, equipment: Equipment) -> bool:
    """Whether what an event holds is what was shown: a reading as near as the score takes it to be."""
    match event.what:
        case Entered() as what:
            field = field_of(what.field)
            return field is not None and near(field.kind, number_of(what.value), shown)
        case FoundSetting() | WroteSetting() | ReadSettingBack() as what:
            return equipment.value_of(what.setting, what.shown) == equipment.value_of(what.setting, shown)
        case _:
            return False
