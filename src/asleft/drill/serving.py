"""A virtual unit as a program: one JSON object a line in, one out."""

from __future__ import annotations

import json
from typing import TextIO

from asleft.drill.answers import EXPECTED, LONGEST_LINE, RigError, checked
from asleft.drill.rig import Answers


def serve(virtual: Answers, requests: TextIO, answers: TextIO) -> None:
    """Answer every line until there are no more. What is no request is refused, saying why."""
    while line := requests.readline(LONGEST_LINE + 2):
        if line.strip():
            answers.write(json.dumps(_answer(virtual, line), ensure_ascii=True) + "\n")
            answers.flush()


def _answer(virtual: Answers, line: str) -> dict[str, object]:
    try:
        request = json.loads(line)
    except (ValueError, RecursionError):
        return {"refused": "that is no JSON"}
    if not isinstance(request, dict):
        return {"refused": "a request is a JSON object"}
    if request.get("do") not in EXPECTED:
        return {"refused": "a request says what to do: " + ", ".join(EXPECTED)}
    try:
        return checked(request, virtual.answer(request))
    except RigError as error:
        return {"refused": str(error)}
