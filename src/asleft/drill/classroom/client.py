"""A drill from the trainee's side: what may be known of it, the rig that keeps the rest, and its end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.drill.answers import RigError, checked
from asleft.drill.classroom.breaches import Breach, breach_of
from asleft.drill.classroom.hands import Held, instruments_kept
from asleft.drill.rig import Rig, resume
from asleft.session.events import Event
from asleft.session.payloads import Drilled, Revealed
from asleft.visit import Visit

if TYPE_CHECKING:
    from asleft.equipment.model import EquipmentFile, Instrument
    from asleft.session.acts import Act
    from asleft.session.fields import Field


@dataclass(frozen=True, slots=True)
class Brief:
    """What a trainee may know of a drill. `possible` are the faults that the unit can have, and where."""

    title: str
    level: int
    aims: tuple[str, ...]
    hints: int
    minutes: int
    hands: str
    warned: bool
    site: str
    possible: Mapping[str, tuple[str, ...]]


@dataclass(slots=True)
class Lesson:
    """A drill under way: its brief, its rig, and how each instrument stands in the trainee's hands."""

    brief: Brief
    rig: Rig
    held: dict[str, Held] = field(default_factory=dict)
    warned_of: Act | None = None
    """The act that was last told to be locked; done again, it is done all the same."""
    revealed: Revealed | None = None
    """What the rig gave at the end. It gives it once; an entry that a full disk refused is made from this."""

    @property
    def own_hands(self) -> bool:
        """Whether the trainee sets and places the instruments."""
        return self.brief.hands == "own"

    def hand(self, wanted: Field) -> Held:
        """How the instrument of a row stands, as it was left; it is off and nowhere at the beginning."""
        dials = instruments_kept()[wanted.instrument].dials
        return self.held.get(wanted.instrument, Held(dials[0]))

    def breach(self, visit: Visit, act: Act, held: Held | None = None) -> tuple[Breach | None, bool]:
        """What an act breaks, and whether it is only told this time: where the sheet says so, once an act."""
        found = breach_of(visit, act, held)
        if found is None:
            return None, False
        only_told = self.brief.warned and self.warned_of != act
        self.warned_of = act if only_told else None
        return found, only_told

    def end(self, visit: Visit) -> tuple[Sequence[str], str]:
        """The sheet and the salt for a session as it stands, after which the rig refuses all else.

        Raises RigError, and OSError where the session cannot be read.
        """
        if self.revealed is None:
            self.revealed = reveal(self.rig, visit.path)
        visit.hints_given = self.revealed.hints
        return self.revealed.sheet, self.revealed.salt


def begin(
    rig: Rig,
    folder: Path,
    instruments: Mapping[str, Instrument],
    *,
    by: str,
    clock: Callable[[], str],
    session_id: str,
) -> tuple[Visit, Lesson]:
    """A new session of the drill that a rig holds. Raises RigError, SaveFailed."""
    brief, equipment = _brief(rig)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    first = Event(1, clock(), by, Drilled(_asked(rig, "commit")["hash"], brief.level))
    visit = Visit.create(
        folder,
        equipment,
        instruments,
        site=brief.site,
        by=by,
        clock=clock,
        session_id=session_id,
        mode="drill",
        entries=[first.written()],
    )
    lesson = Lesson(brief, rig)
    visit.finisher = partial(lesson.end, visit)
    return visit, lesson


def go_on(rig: Rig, visit: Visit) -> Lesson:
    """The drill of an open session with its rig again, everything as it was left. Raises RigError."""
    with ExitStack() as begun:
        begun.callback(rig.close)
        again(rig, visit)
        brief, _ = _brief(rig)
        resume(rig, visit.view)
        begun.pop_all()
    lesson = Lesson(brief, rig)
    visit.finisher = partial(lesson.end, visit)
    return lesson


def again(rig: Rig, visit: Visit) -> None:
    """Have a rig take up the drill of an open session. Raises RigError where it holds another or none."""
    request = {"do": "commit", "hash": visit.view.state.drilled}
    answer = checked(request, rig.ask(request))
    if "refused" in answer:
        raise RigError(f"This rig does not go on with the drill of this session: {answer['refused']}.")
    if answer["hash"] != visit.view.state.drilled:
        raise RigError("This rig holds another drill than the one that the session began with.")


def reveal(rig: Rig, path: Path) -> Revealed:
    """What a rig gives for the session in a file. Raises RigError, OSError."""
    # Bytes that are no text leave no link whole, and the rig says so.
    request = {"do": "reveal", "session": path.read_bytes().decode("utf-8", "replace")}
    answer = checked(request, rig.ask(request))
    if "refused" in answer:
        raise RigError(f"The rig does not end this drill: {answer['refused']}.")
    return Revealed(tuple(answer["sheet"]), answer["salt"], answer["hints"])


def _asked(rig: Rig, do: str) -> dict[str, Any]:
    answer = checked({"do": do}, rig.ask({"do": do}))
    if "refused" in answer:
        raise RigError(f"This rig holds no drill: {answer['refused']}.")
    return answer


def _brief(rig: Rig) -> tuple[Brief, EquipmentFile]:
    from asleft.equipment.load import EquipmentErrors, load_bytes

    told = _asked(rig, "brief")["brief"]
    try:
        equipment = load_bytes(str(told["equipment"]).encode(), "the drill's equipment")
        brief = Brief(
            _text(told["title"]),
            int(told["level"]),
            tuple(map(_text, told["aims"])),
            int(told["hints"]),
            int(told["minutes"]),
            _text(told["hands"]),
            bool(told["warned"]),
            _text(told["site"]),
            {_text(kind): tuple(map(_text, places)) for kind, places in dict(told["possible"]).items()},
        )
    except (KeyError, TypeError, ValueError, EquipmentErrors) as error:
        raise RigError(f"The rig's brief of the drill cannot be read: {error!r}.") from error
    return brief, equipment


def _text(found: object) -> str:
    if not isinstance(found, str) or len(found) > 400 or not all(c.isprintable() for c in found):
        raise ValueError("a text of it is none")
    return found
