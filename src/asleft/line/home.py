"""Which sessions the home screen offers to go on with."""

from __future__ import annotations

from pathlib import Path

from asleft.journal import JournalError, NotASession, read

MOST = 40


def sessions_in(folder: Path) -> list[tuple[Path, str]]:
    """The newest sessions of a folder, each with how it stands in a few words; unsigned ones first."""
    if not folder.is_dir():
        return []
    found = sorted(folder.glob("*.toml"), key=lambda p: p.name, reverse=True)[:MOST]
    described = [(path, _state(path)) for path in found]
    return sorted(described, key=lambda item: item[1].startswith("signed"))


def _state(path: Path) -> str:
    try:
        contents = read(path)
    except (JournalError, NotASession) as error:
        return f"cannot be read: {error}"
    last = contents.events[-1] if contents.events else None
    kinds = [e for e in contents.events if e["kind"] not in ("sealed", "reviewed", "revealed")]
    signed = kinds[-1] if kinds and kinds[-1]["kind"] == "signed" else None
    saved = f"{len(contents.events)} events saved, the last {last['at']}" if last else "nothing entered yet"
    if str(contents.chain) != "whole":
        return f"{contents.chain}: {contents.trouble} {saved}"
    return f"signed {signed['outcome']}" if signed else f"open: {saved}"
