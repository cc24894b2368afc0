"""A person at the program: the home screen, the visits begun from it, and what is remembered of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from asleft.settings import Settings, load

if TYPE_CHECKING:
    from asleft.drill.classroom.client import Lesson
    from asleft.drill.classroom.sheet import Ready
    from asleft.drill.rig import Rig
    from asleft.equipment.library import Known
    from asleft.face.closer import Closer
    from asleft.tui import HomeChoice
    from asleft.visit import Visit

Tell = Callable[[str], None]
"""Says one sentence to the person: on standard error, or on the home screen that comes back."""


def technician() -> str:
    """The name that a person works under: as remembered, else that of the login."""
    from asleft.line.places import person

    return load().settings.technician or person()


def sit_down(
    visit: Visit,
    rig: Rig | None,
    *,
    units: str | None = None,
    text: bool = False,
    tell: Tell | None = None,
    invented: bool = False,
    lesson: Lesson | None = None,
) -> int:
    """Show a visit as a person likes it, and remember what was used in it. Gives the exit code.

    `units` come before what is remembered. In an `invented` visit nothing is offered and nothing remembered.
    `lesson` is the drill that a visit is.
    """
    from asleft.session.acts import Enter
    from asleft.settings import remembered

    loaded = load()
    settings, since = loaded.settings, visit.view.state.last_n
    system = units or remembered.system_of(settings, visit.equipment.equipment)
    names = (visit.by, technician())
    own = not invented and remembered.own_visit(visit.view.state, visit.mode, names)
    offers = remembered.offers(settings, visit.instruments) if own else remembered.NOTHING
    if lesson is not None:
        # The one thing of an invented visit that is true: who works in it.
        offers = {Enter("identity.technician"): visit.by}
    if loaded.notice:
        _say(tell, loaded.notice)
    try:
        if text:
            from asleft.line.dialog import run_dialog

            return run_dialog(visit, rig, system, offers, lesson)
        from asleft.tui import run_wizard

        return run_wizard(
            visit, rig, system, theme=settings.get("theme"), offers=offers, keys=settings.keys, lesson=lesson
        )
    finally:
        if not invented:
            _remember(visit, since, settings, tell)


def _remember(visit: Visit, since: int, settings: Settings, tell: Tell | None) -> None:
    from asleft.settings import NotSaved, SettingError, update
    from asleft.settings.remembered import used

    changes = used(visit, since, settings)
    if not changes:
        return
    try:
        update(changes, mend=False)
    except (NotSaved, SettingError) as error:
        _say(tell, f"The visit is saved; its instruments are not remembered. {error}")


def _say(tell: Tell | None, sentence: str) -> None:
    from asleft.line.text import complain

    (tell or complain)(sentence)


def home(begin: Callable[[HomeChoice, Tell], int]) -> None:
    """Show the home screen until the person leaves it. `begin` does what was chosen there.

    Whatever goes wrong in that is said on the home screen, which comes back after it.
    """
    from asleft.face.listing import sessions
    from asleft.line.places import person, sessions_folder
    from asleft.line.troubles import sentence
    from asleft.tui import Desk, run_home

    notices: list[str] = []
    while True:
        desk = Desk(
            sessions=lambda: sessions(sessions_folder()),
            units=units,
            closer=closer,
            lessons=lessons,
            login=person(),
            notice=" ".join(notices),
        )
        choice = run_home(desk)
        if choice is None:
            return
        notices = []
        try:
            begin(choice, notices.append)
        except Exception as error:  # noqa: BLE001  no traceback ever reaches a person
            notices.append(sentence(error))


def units() -> Sequence[Known]:
    """The units that a visit can be begun to."""
    from asleft.equipment.library import units as listed
    from asleft.line.places import equipment_folder

    return listed(equipment_folder())


def lessons() -> Sequence[Ready]:
    """The lessons that can be begun."""
    from asleft.drill.classroom.sheet import ready

    return ready()


def closer(path: Path) -> Closer:
    """What comes next in a session, or in one sentence why it cannot be gone on with.

    Of one that is whole and signed nothing more is asked, and the rooms that judge one are not loaded for it.
    """
    from asleft.face.closer import Closer
    from asleft.journal import Chain, read
    from asleft.line.reading import verified
    from asleft.line.troubles import sentence
    from asleft.session.events import Event
    from asleft.session.payloads import Signed
    from asleft.session.state import KEEPS_SIGNATURE

    try:
        contents = read(path)
        newest = (Event.read(keys).what for keys in reversed(contents.events))
        last = next((what for what in newest if not isinstance(what, KEEPS_SIGNATURE)), None)
        if contents.chain is Chain.WHOLE and isinstance(last, Signed):
            return Closer()
        return Closer(next=verified(path).next.text)
    except Exception as error:  # noqa: BLE001  a look at a foreign file must not end the screen
        return Closer(trouble=sentence(error).removeprefix(f"{path}: "))
