"""A quick look at a session file for a list of many: where it was, how far it is, nothing verified.

Verifying a file costs as much as reading it all as TOML; here only the few blocks that say something are.
"""

from __future__ import annotations

from typing import NamedTuple

import tomli

_START = b"\n[[event]]\n"
_LINK = b'\nlink = "'
_LINK_LINE = len(_LINK) + 64 + len(b'"\n')
_SITE = b'\nfield = "identity.site"\n'
_HEADER = b"format = "
_AFTERWARDS = ("sealed", "reviewed", "revealed")
_MOST_BACK = 50
"""Events looked at from the end for one that says how the session stands."""


class Glance(NamedTuple):
    """What a session file seems to hold. `outcome` is empty while it is open; `at` is UTC or empty.

    `cut` where something stands after the last whole entry. `trouble` says why it is no session file.
    """

    site: str = ""
    unit: str = ""
    mode: str = ""
    entries: int = 0
    at: str = ""
    outcome: str = ""
    cut: bool = False
    trouble: str = ""


def glance(data: bytes) -> Glance:
    """What the bytes seem to hold. Never raises: what cannot be read is left empty or said in `trouble`."""
    if not data.startswith(_HEADER) or b"\n[session]\n" not in data[:64]:
        return Glance(trouble="this is no session file")
    end = _end(data)
    if not end:
        return Glance(cut=True)
    whole = data[:end]
    first = whole.find(_START)
    header = whole if first < 0 else whole[:first]
    session = _table(header[: header.find(b"\n[equipment]\n") + 1]).get("session")
    mode = str(session.get("mode", "")) if isinstance(session, dict) else ""
    last = _last_events(whole)
    at = str(last[0].get("at", "")) if last else ""
    standing = next((event for event in last if event.get("kind") not in _AFTERWARDS), {})
    outcome = str(standing.get("outcome", "")) if standing.get("kind") == "signed" else ""
    return Glance(
        site=_site(whole),
        unit=_unit(header),
        mode=mode,
        entries=whole.count(_START),
        at=at,
        outcome=outcome,
        cut=end < len(data),
    )


def _end(data: bytes) -> int:
    """Where the last line ends that looks like a link; 0 where there is none."""
    start = data.rfind(_LINK)
    while start >= 0:
        end = start + _LINK_LINE
        if data[end - 2 : end] == b'"\n':
            return end
        start = data.rfind(_LINK, 0, start)
    return 0


def _last_events(data: bytes) -> list[dict[str, object]]:
    """From the last event back to the first that is no mere seal or review."""
    events: list[dict[str, object]] = []
    end = len(data)
    while len(events) < _MOST_BACK:
        start = data.rfind(_START, 0, end)
        if start < 0:
            break
        event = _event(data, start)
        events.append(event)
        if event.get("kind") not in _AFTERWARDS:
            break
        end = start
    return events


def _event(data: bytes, start: int) -> dict[str, object]:
    end = data.find(_LINK, start)
    found = _table(data[start + len(_START) : end if end >= 0 else len(data)])
    return dict(found)


def _site(data: bytes) -> str:
    at = data.rfind(_SITE)
    start = data.rfind(_START, 0, at) if at >= 0 else -1
    return str(_event(data, start).get("value", "")) if start >= 0 else ""


def _unit(header: bytes) -> str:
    """Maker and model, where the equipment lines name them as lines of the table [unit]."""
    start = header.find(b'\n    "[unit]",\n')
    if start < 0:
        return ""
    end = header.find(b'\n    "[', start + 5)
    found = _table(b"lines = [" + header[start : end if end >= 0 else len(header)] + b"\n]").get("lines")
    lines = [line for line in found if isinstance(line, str)] if isinstance(found, list) else []
    unit = _table("\n".join(lines).encode()).get("unit", {})
    return (
        " ".join(str(unit[key]) for key in ("maker", "model") if key in unit)
        if isinstance(unit, dict)
        else ""
    )


def _table(data: bytes) -> dict[str, object]:
    try:
        return tomli.loads(data.decode())
    except (ValueError, RecursionError):
        # A look is not a check: whoever opens the file is told exactly what is wrong with it.
        return {}
