"""The hidden unit of a drill as it is served to others: each drill of a sheet with its own record."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from asleft.drill.classroom.lesson_unit import LessonUnit
from asleft.drill.classroom.register import Register, Remembered, key_of
from asleft.drill.classroom.session_text import Finished, NotThisDrill, never_shown
from asleft.drill.virtual import Reply
from asleft.session.commitment import commitment

if TYPE_CHECKING:
    from asleft.drill.classroom.sheet import Staged

SALT_BYTES = 16
OVER: Reply = {"refused": "this drill is over"}
ANOTHER: Reply = {"refused": "it holds another drill, or its sheet was changed since this one began"}


class ServedUnit(LessonUnit):
    """Gives neither hint nor sheet before a drill is begun, and in one nothing that is not in its register.

    A `hidden` sheet is one that the trainee cannot look up: without a drill nothing is read of its unit, and
    it is given for a signed session alone, whose readings and settings are those that this rig showed.
    """

    def __init__(
        self,
        staged: Staged,
        register: Register,
        *,
        hidden: bool,
        clock: Callable[[], str],
        earlier_salt: str = "",
    ) -> None:
        """`earlier_salt` is that of drills begun before rigs had a register; they can be gone on with."""
        super().__init__(staged, "")
        self._register, self._hidden, self._clock = register, hidden, clock
        self._earlier = earlier_salt
        self._hash = ""
        self._told = Remembered()

    def answer(self, request: Mapping[str, Any]) -> Reply:
        """The answer to one request, in the register before it is given; else a refusal."""
        do = request.get("do")
        try:
            if do == "commit":
                return self._commit(request.get("hash"))
            if not self._hash and do != "brief" and (self._hidden or do in ("hint", "reveal")):
                return {"refused": "no drill was begun here yet"}
            answer = super().answer(request)
            if self._hash and "refused" not in answer:
                self._remember(request, answer)
        except OSError as error:
            why = error.strerror or str(error)
            return {"refused": f"the register of this rig fails, so nothing is answered: {why.lower()}"}
        return answer

    # ---- which drill

    def _commit(self, hash: object) -> Reply:
        """Begin a drill, or go on with the one of this hash."""
        if self._revealed:
            return OVER
        if self._hash:
            return {"hash": self._hash} if hash in (None, self._hash) else ANOTHER
        if hash is None:
            return self._begin(secrets.token_hex(SALT_BYTES), told=True)
        found = self._register.of(hash) if isinstance(hash, str) else None
        if found is None:
            old = self._earlier and hash == commitment(self._staged.sheet.lines, self._earlier)
            return self._begin(self._earlier, told=False) if old else ANOTHER
        if commitment(self._staged.sheet.lines, found.salt) != hash:
            return ANOTHER
        if found.over:
            return OVER
        self._salt, self._hash, self._told, self._hints = found.salt, str(hash), found, found.hints
        return {"hash": self._hash}

    def _begin(self, salt: str, *, told: bool) -> Reply:
        hash = commitment(self._staged.sheet.lines, salt)
        with self._register.alone():
            self._register.add(hash, {"begun": self._clock(), "salt": salt, "told": told})
        self._salt, self._hash, self._told = salt, hash, Remembered(salt, told)
        return {"hash": hash}

    # ---- what is remembered of it

    def _remember(self, request: Mapping[str, Any], answer: Reply) -> None:
        shown = answer.get("typed") or answer.get("shown")
        if request.get("do") == "hint":
            entry: dict[str, Any] = {"hint": request.get("n")}
        elif shown and shown not in self._told.answers.get(key_of(request), ()):
            entry = {"asked": key_of(request), "answered": shown}
        else:
            return
        with self._register.alone():
            self._register.add(self._hash, entry)
        self._told.learn(entry)

    def _close(self, finished: Finished) -> None:
        """Put the end in the register, where no other rig has put it meanwhile. Raises NotThisDrill."""
        with self._register.alone():
            now = self._register.of(self._hash) or self._told
            if now.over:
                raise NotThisDrill("this drill is over")
            if self._hidden and finished.state.signature is None:
                raise NotThisDrill("the session is not signed, and only a signed one is finished")
            if self._hidden and now.told:
                why = never_shown(finished, self._equipment, now.answers)
                if why:
                    raise NotThisDrill(why)
            self._hints = now.hints
            self._register.add(self._hash, {"over": self._clock(), "link": finished.link, "hints": now.hints})
