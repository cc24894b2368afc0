"""A small session that the journal's tests share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.journal import classify, event_bytes, header_bytes

EQUIPMENT = 'format = 1\r\n[unit]\nid = "q\\"1"\n\tlink = "\nß 🔥 \u202e\n'


@pytest.fixture(scope="session")
def header() -> bytes:
    """A header whose equipment text is awkward on purpose."""
    return header_bytes(
        id="s-1",
        mode="job",
        app="asleft 0.1.0",
        rules="1",
        opened_by="Ana Ruiz",
        follows="s-0",
        equipment_text=EQUIPMENT,
    )


@pytest.fixture(scope="session")
def equipment_text() -> str:
    """The equipment text in that header."""
    return EQUIPMENT


@pytest.fixture(scope="session")
def events() -> tuple[dict[str, Any], ...]:
    """Events that between them hold every form of value."""

    def event(n: int, kind: str, **own: object) -> dict[str, Any]:
        return {"n": n, "at": f"2031-05-04T09:30:{n:02d}Z", "by": "Ana Ruiz", "kind": kind, **own}

    return (
        event(
            1,
            "entered",
            field="electrical.line.l1_l2",
            typed="238.2 V",
            value=238.2,
            unit="V",
            readings=[238.0, 238.4],
            instrument="meter",
            verdicts=["PS-1 unit passes", "PS-2 leg.l1 passes"],
        ),
        event(2, "powered", state="off"),
        event(3, "noted", text='link = "\n[[event]]\n\u202e\x1b[2J ü 🔥'),
        event(4, "retracted", of=3, why="slip"),
        event(5, "entered", field="identity.site", typed="yes", value=True),
        event(6, "resumed"),
        event(7, "sealed", of=6, signature=["-----BEGIN", "AAAA"]),
    )


@pytest.fixture(scope="session")
def written() -> Callable[..., bytes]:
    """A function that gives the bytes of a header and events."""

    def write(header: bytes, *events: Mapping[str, object]) -> bytes:
        data, link = header, classify(header).link
        for event in events:
            block, link = event_bytes(link, event)
            data += block
        return data

    return write


@pytest.fixture(scope="session")
def session(header: bytes, events: tuple[dict[str, Any], ...], written: Callable[..., bytes]) -> bytes:
    """The bytes of the whole small session."""
    return written(header, *events)


@pytest.fixture
def session_file(tmp_path: Path, session: bytes) -> Path:
    """The small session as a file."""
    path = tmp_path / "2031-05-04-Hill-AH-1.toml"
    path.write_bytes(session)
    return path
