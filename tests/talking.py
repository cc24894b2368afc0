"""Somebody who answers the wizard's questions as text, and sees nothing but what it wrote."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable

from asleft.drill.classroom.client import Lesson
from asleft.drill.rig import Rig
from asleft.face.drafts import Drafts
from asleft.line.dialog.dialog import Dialog
from asleft.visit import Visit

Answerer = Callable[[str], str | None]
"""Gives the next line for what was written since the last one; None ends the input."""


class Answers(io.StringIO):
    """Standard input that is typed line by line, each after reading what was written by then."""

    def __init__(self, answerer: Answerer, shown: io.StringIO) -> None:
        super().__init__()
        self._answerer, self._shown, self._read = answerer, shown, 0

    def readline(self, size: int | None = -1, /) -> str:
        """The next answer."""
        new = self._shown.getvalue()[self._read :]
        self._read += len(new)
        line = self._answerer(new)
        return "" if line is None else line + "\n"


def lines(*typed: str) -> Answerer:
    """An answerer who types these whatever is asked."""
    left = iter(typed)
    return lambda new: next(left, None)


def talk(
    visit: Visit,
    answerer: Answerer | Iterable[str],
    rig: Rig | None = None,
    *,
    system: str = "ip",
    drafts: Drafts | None = None,
    lesson: Lesson | None = None,
) -> tuple[int, str]:
    """Ask and answer a visit: the exit code, and everything that was written."""
    shown = io.StringIO()
    answers = Answers(answerer if callable(answerer) else lines(*answerer), shown)
    code = Dialog(visit, rig, answers, shown, system=system, drafts=drafts, lesson=lesson).run()
    return code, shown.getvalue()


def turns(text: str) -> list[str]:
    """What was written after each line that was typed, that line first; the opening before all."""
    return re.split(r"^> ", text, flags=re.M)


def by_what_it_reads(new: str) -> str | None:
    """Does what next asks: takes what is offered, says yes to safety points, has the rig do all else."""
    if "Nothing more is asked. Enter alone leaves." in new:
        return ""
    if re.search(r"^Enter alone |; Enter takes it\.$|Enter records it\.$|Enter notes that", new, re.M):
        return ""
    if "Answer: y when all of it is so." in new:
        return "y"
    assert "Not taken" not in new, new
    return ".rig"
