"""`asleft next FILE`: the one thing to do now."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from asleft.guide import Next
from asleft.line.reading import verified
from asleft.line.text import dumped, plain, say, say_all, wrapped


def run(path: Path, *, as_json: bool) -> int:
    """Print what to do next. Raises what reading a session raises."""
    following = verified(path).next
    if as_json:
        say(dumped(as_mapping(following)))
    else:
        say_all(as_text(following))
    return 0


def as_mapping(following: Next) -> dict[str, Any]:
    """The next thing as JSON: what it is about under `field`, `setting` and `address`, or `topic`."""
    about: dict[str, Any] = {}
    if following.topic:
        about["topic"] = following.topic
    elif following.setting:
        about |= {"setting": following.setting, "address": following.address}
    elif following.field:
        about["field"] = following.field
    return {
        "do": following.do,
        "pane": following.pane,
        **about,
        "options": list(following.options),
        "value": following.value or None,
        "state": following.state or None,
        "code": _code(following),
        "outcome": following.outcome or None,
        "finding": following.finding or None,
        "enter": following.enter or None,
        "text": following.text,
        "why": following.why,
    }


def _code(following: Next) -> str | list[dict[str, str]] | None:
    """What is keyed; where that is in parts, each with the address at which it is keyed, in turn."""
    if len(following.keyed) > 1:
        return [{"address": at, "characters": characters} for at, characters in following.keyed]
    return following.code or None


def as_text(following: Next) -> list[str]:
    """The next thing in a few lines: what, why, and how to enter it."""
    lines = [wrapped(following.text)]
    if following.why:
        lines.append(wrapped(f"Why: {following.why}"))
    if following.options:
        lines.append(wrapped("On offer: " + ", ".join(following.options)))
    if following.value:
        lines.append(wrapped(f"Value: {following.value}"))
    if following.enter:
        lines.append(f"Enter: {plain(following.enter)}={_right(following)}")
    return lines


def _right(following: Next) -> str:
    match following.do:
        case "acknowledge":
            return "yes"
        case "power":
            return following.state
        case "sign":
            return following.outcome
        case "choose" | "write":
            return plain(following.value)
        case _:
            return "..."
