"""The list of sessions that the home screen shows."""

from __future__ import annotations

import os
from pathlib import Path

from asleft.line.sessions import recent
from played import cut_after, session_bytes


def test_open_visits_come_before_signed_ones_and_newer_before_older(tmp_path: Path) -> None:
    """Each says how it stands, damage included."""
    data = session_bytes()[1]
    files = {
        "signed.toml": data,
        "torn.toml": data[:-20],
        "broken.toml": data.replace(b"typed", b"Typed", 1),
        "begun.toml": cut_after(data, 9),
        "fresh.toml": cut_after(data, 0),
        "other.toml": b"hello",
    }
    for age, (name, content) in enumerate(files.items()):
        path = tmp_path / name
        path.write_bytes(content)
        os.utime(path, (1_000_000 - age, 1_000_000 - age))
    (tmp_path / "note.txt").write_text("not listed")
    listed = {path.name: state for path, state in recent(tmp_path)}
    assert list(listed) == [
        "torn.toml",
        "broken.toml",
        "begun.toml",
        "fresh.toml",
        "other.toml",
        "signed.toml",
    ]
    assert listed["signed.toml"] == "signed commissioned"
    assert listed["begun.toml"] == "open, 9 entries saved"
    assert listed["fresh.toml"] == "open, nothing entered yet"
    assert "cut short" in listed["torn.toml"]
    assert "changed" in listed["broken.toml"]
    assert "cannot be read" in listed["other.toml"]
    assert len(recent(tmp_path, 2)) == 2


def test_a_folder_that_is_not_there_lists_nothing(tmp_path: Path) -> None:
    """The first start has no sessions."""
    assert recent(tmp_path / "nowhere") == []
