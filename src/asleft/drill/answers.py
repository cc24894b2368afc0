"""What a rig may answer. Anything else is nonsense, said in one sentence."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

from asleft.quantity import KINDS, QuantityError, parse

LONGEST_LINE = 65_536
"""Characters in one line of a rig's answer."""
LONGEST_REQUEST = 16_000_000
"""Characters in one line of a request: at the end of a drill it holds the whole session."""
MOST_HINTS = 1000
LONGEST_TEXT = 400
"""Characters in a reading, a display or a reason."""
DAY_S = 86_400
"""No heat is watched for longer than a day."""

EXPECTED = {
    "read": "typed",
    "look": "shown",
    "write": "shown",
    "code": "shown",
    "power": "done",
    "mend": "done",
    "resume": "done",
    "brief": "brief",
    "commit": "hash",
    "hint": "shown",
    "reveal": "sheet",
}
"""The key of a good answer to each request; the last four are asked of a drill alone."""
BESIDE = {"reveal": "salt"}
"""What stands beside that key."""
MAY = {"reveal": "hints", "read": "after_s", "mend": "part"}
"""What may stand there too: hints that the rig gave; seconds since all heat was called, by its own clock; the
part that was mended.
"""
_HASH = re.compile(r"[0-9a-f]{64}")
_SALT = re.compile(r"[!-~]{16,200}")

_NO_UNIT = frozenset({"count", "ratio", "percent"})


class RigError(OSError):
    """A rig that talked nonsense, fell silent or died. ``str()`` is one sentence."""


def read_line(line: str) -> dict[str, Any]:
    """One line of a rig read as a JSON object. Raises RigError."""
    if len(line) > LONGEST_LINE:
        raise RigError(f"The rig answered more than {LONGEST_LINE} characters in one line.")
    try:
        found = json.loads(line, parse_constant=_no_constant, object_pairs_hook=_once_each)
    except (ValueError, RecursionError):
        raise RigError(f"The rig answered {_cut(line)}, which is no JSON.") from None
    if not isinstance(found, dict):
        raise RigError(f"The rig answered {_cut(line)}, which is no JSON object.")
    return found


def checked(request: Mapping[str, Any], answer: Mapping[str, Any]) -> dict[str, Any]:
    """The answer, if it is one that this request can have. Raises RigError with what was wrong.

    A reading of a quantity must carry its unit: a bare number is nonsense.
    """
    do = str(request["do"])
    wanted = {EXPECTED[do], BESIDE.get(do, EXPECTED[do])}
    keys_found = set(answer) - ({MAY.get(do)} if "refused" not in answer else set())
    if keys_found not in (wanted, {"refused"}):
        keys = ", ".join(sorted(_cut(str(k)) for k in answer)) or "nothing"
        right = " and ".join(f'"{key}"' for key in sorted(wanted))
        raise RigError(f'The rig answered {keys} to {do}, where {right} or "refused" belongs.')
    if "refused" not in answer and do in ("brief", "commit", "reveal"):
        return _of_a_drill(do, answer)
    key = "refused" if "refused" in answer else EXPECTED[do]
    value = answer[key]
    if key == "done":
        if value is not True:
            raise RigError(f'The rig answered "done": {_cut(json.dumps(value))} to {do}, where true belongs.')
        return {"done": True} | _part(do, answer)
    text = _text(do, key, value)
    if key == "typed":
        _with_unit(str(request.get("kind", "")), str(request.get("field", "")), text)
    return {key: text} | _clock(do, answer)


def _clock(do: str, answer: Mapping[str, Any]) -> dict[str, Any]:
    """The time by the rig's own clock, where it gave one."""
    beside = MAY.get(do, "")
    if beside not in answer:
        return {}
    seconds = answer[beside]
    if isinstance(seconds, bool) or not isinstance(seconds, int | float) or not 0 <= seconds <= DAY_S:
        raise RigError(
            f'The rig answered "{beside}": {_cut(json.dumps(seconds))} to {do}, '
            f"where seconds from 0 to {DAY_S} belong."
        )
    return {beside: float(seconds)}


def _part(do: str, answer: Mapping[str, Any]) -> dict[str, Any]:
    """The part that was mended, where the rig named it; whether the unit has it is for the visit to say."""
    return {"part": _text(do, "part", answer["part"])} if "part" in answer else {}


def _of_a_drill(do: str, answer: Mapping[str, Any]) -> dict[str, Any]:
    """What begins and ends a drill."""
    match answer:
        case {"hash": str(found)} if _HASH.fullmatch(found):
            return {"hash": found}
        case {"sheet": [*lines], "salt": str(salt)} if _SALT.fullmatch(salt) and _lines(lines):
            hints = answer.get("hints", 0)
            if type(hints) is int and 0 <= hints <= MOST_HINTS:
                return {"sheet": lines, "salt": salt, "hints": hints}
        case {"brief": dict(brief)}:
            return {"brief": brief}
    raise RigError(f"The rig answered {do} with {_cut(json.dumps(dict(answer)))}, which cannot be.")


def _lines(lines: list[Any]) -> bool:
    return all(isinstance(line, str) and "\n" not in line for line in lines)


def _text(do: str, key: str, value: object) -> str:
    if not isinstance(value, str):
        raise RigError(f'The rig answered "{key}" to {do} with {_cut(json.dumps(value))}, which is no text.')
    text = value.strip()
    if not text:
        raise RigError(f'The rig answered "{key}" to {do} with nothing in it.')
    if len(text) > LONGEST_TEXT:
        raise RigError(
            f'The rig answered "{key}" to {do} with {len(text)} characters; {LONGEST_TEXT} are enough.'
        )
    for character in text:
        if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
            code = f"U+{ord(character):04X}"
            raise RigError(f'The rig answered "{key}" to {do} with the character {code}, which is not text.')
    return text


def _with_unit(kind: str, field: str, typed: str) -> None:
    if kind not in KINDS or kind in _NO_UNIT:
        return
    try:
        parse(typed, kind)
    except QuantityError as error:
        raise RigError(
            f"The rig read {_cut(typed)} for {field}, which is no {KINDS[kind].label}: {error}."
        ) from None


def _no_constant(name: str) -> object:
    raise ValueError(name)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


def _cut(text: str, most: int = 60) -> str:
    return ascii(text if len(text) <= most else text[:most] + "...")
