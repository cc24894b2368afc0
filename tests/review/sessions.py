"""Sessions for audits, written event by event: a sample as it is, or with something odd in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from asleft.journal import event_bytes, header_bytes, read

SAMPLES = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))
Event = dict[str, Any]
Change = Callable[[list[Event]], Sequence[Event]]


@cache
def _sample(n: int) -> tuple[Mapping[str, Any], str, tuple[Mapping[str, Any], ...]]:
    contents = read(SAMPLES[n])
    return contents.header["session"], contents.equipment_text, tuple(contents.events)


def session(change: Change = list, *, sample: int = 0, **header: Any) -> bytes:
    """A sample's bytes with other events or another header, linked anew; numbers are given here."""
    known, equipment, events = _sample(sample)
    told = {**known, "mode": "job", **header}
    head = header_bytes(
        id=told["id"],
        mode=told["mode"],
        app=told["app"],
        rules=told["rules"],
        opened_by=told["opened_by"],
        follows=told.get("follows"),
        equipment_text=equipment,
    )
    data = head
    link = head.decode().rsplit('link = "', 1)[1][:64]
    for n, event in enumerate(change([dict(e) for e in events]), 1):
        block, link = event_bytes(link, {**{k: v for k, v in event.items() if k != "link"}, "n": n})
        data += block
    return data


def where(events: Sequence[Event], **wanted: Any) -> int:
    """The place of the first event with these keys."""
    return next(n for n, e in enumerate(events) if all(e.get(k) == v for k, v in wanted.items()))
