"""A virtual unit as a program: one JSON object a line in, one out."""

from __future__ import annotations

import json
from typing import TextIO

from asleft.drill.answers import EXPECTED, LONGEST_REQUEST, RigError, checked
from asleft.drill.rig import Answers


def serve(virtual: Answers, requests: TextIO, answers: TextIO) -> None:
    """Answer every line until there are no more. What is no request is refused, saying why."""
    while line := requests.readline(LONGEST_REQUEST + 1):
        if line.strip():
            whole = line.endswith("\n") or len(line) <= LONGEST_REQUEST
            answer = _answer(virtual, line) if whole else _too_long(requests)
            answers.write(json.dumps(answer, ensure_ascii=True) + "\n")
            answers.flush()


def _too_long(requests: TextIO) -> dict[str, object]:
    """Pass over what is left of a line, so that it is answered once."""
    while (more := requests.readline(LONGEST_REQUEST)) and not more.endswith("\n"):
        pass
    return {"refused": f"a request is at most {LONGEST_REQUEST} characters"}


def _answer(virtual: Answers, line: str) -> dict[str, object]:
    try:
        request = json.loads(line)
    except (ValueError, RecursionError):
        return {"refused": "that is no JSON"}
    if not isinstance(request, dict):
        return {"refused": "a request is a JSON object"}
    if not isinstance(do := request.get("do"), str) or do not in EXPECTED:
        return {"refused": "that is nothing this rig does"}
    try:
        return checked(request, virtual.answer(request))
    except RigError as error:
        return {"refused": str(error)}
