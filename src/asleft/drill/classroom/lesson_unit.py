"""The hidden unit of a drill: a virtual unit that is not as it should be, and keeps its sheet to the end."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.hands import AUTO, Held, instruments_kept, shown
from asleft.drill.classroom.known import known_faults
from asleft.drill.classroom.places import Places
from asleft.drill.classroom.session_text import Finished, NotThisDrill, handed_in
from asleft.drill.virtual import Reply, VirtualUnit
from asleft.installation.behave import Truth, behave
from asleft.installation.faults import FAULTS, Fault, with_faults
from asleft.installation.memory import as_found
from asleft.installation.probes import taken_anew
from asleft.session.commitment import commitment

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Staged
    from asleft.session.fields import Field

OVER_RANGE = "the display shows OL: more than this range holds"


def salt_of(secret: bytes, sheet: str) -> str:
    """A salt that nobody without the secret can guess, the same for a sheet each time it is served."""
    return hmac.new(secret, sheet.encode(), hashlib.sha256).hexdigest()[:32]


class LessonUnit(VirtualUnit):
    """Answers what a virtual unit answers, and what a drill asks besides. Revealed, it refuses all else."""

    def __init__(self, staged: Staged, salt: str) -> None:
        sheet = staged.sheet
        self._staged, self._salt = staged, salt
        self._wrong = replace(staged.healthy, installation=staged.installation)
        super().__init__(staged.equipment.equipment, self._wrong, sheet.seed)
        self._revealed = False
        self._hints = 0
        """How many hints were given: whoever asks for the third was given three."""
        self._hand: Held | None = None
        """How the instrument of the reading under way is held; None where it is as the row asks."""
        self._by_hand: set[Fault] = set()
        """Faults of how readings are taken that somebody has set right."""

    def answer(self, request: Mapping[str, Any]) -> Reply:
        """The answer to one request; what cannot be answered is refused with a reason."""
        do = str(request.get("do"))
        if self._revealed:
            return {"refused": "this drill is over"}
        match do:
            case "brief":
                return {"brief": self._brief()}
            case "commit":
                return {"hash": self._commitment()}
            case "reveal":
                return self._reveal(request.get("session"))
            case "hint":
                return self._hint(request.get("n"))
            case _:
                return super().answer(request)

    def _commitment(self) -> str:
        return commitment(self._staged.sheet.lines, self._salt)

    def _reveal(self, text: object) -> Reply:
        """The sheet and its salt, for the text of a session that began with their hash, and once."""
        try:
            finished = handed_in(text, self._commitment(), self._equipment)
            self._close(finished)
        except NotThisDrill as why:
            return {"refused": str(why)}
        self._revealed = True
        return {"sheet": list(self._staged.sheet.lines), "salt": self._salt, "hints": self._hints}

    def _close(self, finished: Finished) -> None:
        """Let a drill end with a session. Raises NotThisDrill where more is asked of one."""

    def _brief(self) -> dict[str, Any]:
        """What a trainee may know beforehand."""
        sheet, unit = self._staged.sheet, self._staged.equipment
        return {
            "title": sheet.title,
            "level": sheet.level,
            "aims": list(sheet.aims),
            "hints": len(sheet.hints),
            "minutes": sheet.minutes,
            "hands": sheet.hands,
            "warned": sheet.warned,
            "site": self._staged.healthy.job["identity.site"],
            "equipment": unit.text,
            "possible": {
                kind: list(places)
                for kind, places in Places(self._staged.healthy, unit.equipment).possible().items()
            },
        }

    def _hint(self, n: object) -> Reply:
        hints = self._staged.sheet.hints
        if type(n) is not int or n < 1:
            return {"refused": "hints are numbered from 1"}
        if n > len(hints):
            return {"refused": "no hint is left" if hints else "this drill has no hints"}
        self._hints = max(self._hints, n)
        return {"shown": hints[n - 1]}

    # ---- instruments

    def _read(self, request: Mapping[str, Any]) -> Reply:
        held = request.get("with")
        field = self._fields.get(str(request.get("field")))
        if not isinstance(held, Mapping) or field is None or not field.instrument:
            return super()._read(request)
        hand = Held(str(held.get("dial")), str(held.get("range") or AUTO), str(held.get("at")))
        at = self._fields.get(hand.at)
        if at is None or at.instrument != field.instrument or at.state != field.state:
            return {"refused": "the instrument cannot be put there now"}
        if hand.dial not in instruments_kept()[field.instrument].dials:
            return {"refused": f"there is no {hand.dial!r} on the dial"}
        if hand.dial == "off":
            return {"refused": "the instrument is off"}
        self._hand = hand
        try:
            answer = super()._read({**request, "field": at.id, "kind": at.kind})
        except _OverRangeError:
            return {"refused": OVER_RANGE}
        finally:
            self._hand = None
        return _in_the_unit_of(answer, at, field)

    def _truth(self, field: Field, request: Mapping[str, Any]) -> Truth | None:
        """What is there, through the instrument named: another of its role has none of the faults."""
        site = self._wrong.installation
        own = self._site.job.get(f"identity.instrument.{field.instrument}")
        named = str(request.get("instrument", ""))
        if field.instrument and named and own and named != own:
            site = replace(site, probes=taken_anew(site.probes, field.instrument))
        truth = behave(site, self._equipment, self._memory.in_force, field.state).get(field.id)
        if self._hand is None or truth is None or isinstance(truth, bool | str):
            return truth
        display = shown(self._hand, field, float(truth))
        if display is None:
            raise _OverRangeError
        return display

    # ---- what somebody sets right with his own hands

    def _mend(self, request: Mapping[str, Any]) -> Reply:
        """Of what own hands can set right, the faults of the part named, else those that the check shows."""
        check, part = str(request.get("finding")), str(request.get("part", ""))
        by_hand = {f: known_faults()[f.kind].mends for f in self._staged.faults if f not in self._by_hand}
        ours = {
            fault
            for fault, mends in by_hand.items()
            if mends and (self._is_of(fault, part) if part else check in mends)
        }
        if not ours:
            return {"refused": "that is other work than this visit's: report it, and leave it as it is"}
        self._by_hand |= ours
        left = [fault for fault in self._staged.faults if fault not in self._by_hand]
        truth = with_faults(self._staged.healthy.installation, self._equipment, left)
        self._wrong = replace(self._staged.healthy, installation=truth)
        return {"done": True}

    def _is_of(self, fault: Fault, part: str) -> bool:
        """Whether a part is the one to mend for a fault."""
        kind = FAULTS[fault.kind]
        where = fault.where or kind.places(self._staged.healthy.installation, self._equipment)[0]
        return fnmatchcase(part, kind.part_at(where))

    def _resume(self, request: Mapping[str, Any]) -> Reply:
        """As it was left: every act that the session holds is done again, in order."""
        acts = request.get("acts")
        if acts is None:
            return super()._resume(request)
        reads = request.get("reads")
        if not isinstance(acts, list) or not isinstance(reads, Mapping):
            return {"refused": "acts must be a list and reads a table"}
        self._wrong = replace(self._staged.healthy, installation=self._staged.installation)
        self._by_hand = set()
        self._memory = as_found(self._staged.installation, self._site.settings)
        self._keypad.forget()
        self._power = "on"
        for act in acts:
            if isinstance(act, Mapping) and act.get("do") in ("power", "write", "code", "mend"):
                super().answer(act)
        if not all(type(n) is int and n >= 0 for n in reads.values()):
            return {"refused": "times read must be whole numbers"}
        self._reads = {str(f): int(n) for f, n in reads.items()}
        return {"done": True}


class _OverRangeError(Exception):
    """More than the display holds."""


def _in_the_unit_of(answer: Reply, at: Field, field: Field) -> Reply:
    """What the display shows; of another kind than the row wants, it is a number without meaning there."""
    if at.kind == field.kind or "typed" not in answer:
        return answer
    return {"refused": f"the display shows {answer['typed']}, which is no {field.kind.replace('_', ' ')}"}
