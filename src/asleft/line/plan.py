"""`asleft plan FILE`: the ordered work of entering settings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from asleft.line.reading import verified
from asleft.line.text import dumped, say, say_all, wrapped
from asleft.sequence import Step


def run(path: Path, *, as_json: bool) -> int:
    """Print the plan. Raises what reading a session raises."""
    steps = verified(path).plan
    if as_json:
        say(dumped({"steps": [as_mapping(step) for step in steps]}))
    else:
        say_all(as_text(steps) or ["Nothing has to be entered."])
    return 0


def as_mapping(step: Step) -> dict[str, Any]:
    """One step as JSON."""
    return {
        "n": step.n,
        "do": step.do,
        "setting": step.setting or None,
        "address": step.address or None,
        "value": step.value or None,
        "guards": list(step.guards),
        "done": step.done,
        "text": step.text,
    }


def as_text(steps: tuple[Step, ...]) -> list[str]:
    """The steps, those done and those given up marked, each with the equipment file's own words."""
    lines: list[str] = []
    for step in steps:
        mark = "done" if step.done else "failed" if step.failed else "open"
        lines.append(wrapped(f"{step.n:3d}. {mark:6} {step.text}"))
        if step.pending:
            lines.extend(wrapped(words, " " * 12) for words in step.how)
            if step.guards:
                lines.append(wrapped("This is: " + ", ".join(step.guards), " " * 12))
    return lines
