"""The sessions of a folder for the home screen: what can be gone on with, and how each stands."""

from __future__ import annotations

from pathlib import Path

from asleft.journal import JournalError, NotASession, read

MOST = 20
"""More than a person looks through; the newest are listed."""


def recent(folder: Path, most: int = MOST) -> list[tuple[Path, str]]:
    """The newest sessions of a folder, those not signed first, each with how it stands."""
    found = sorted(_dated(folder), key=lambda item: item[0], reverse=True)[:most]
    states = [(path, _state(path)) for _, path in found]
    return sorted(states, key=lambda item: item[1].startswith("signed"))


def _dated(folder: Path) -> list[tuple[float, Path]]:
    dated = []
    for path in folder.glob("*.toml"):
        try:
            dated.append((path.stat().st_mtime, path))
        except OSError:
            # It went away between the listing and the look.
            continue
    return dated


def _state(path: Path) -> str:
    try:
        contents = read(path)
    except (NotASession, JournalError) as error:
        return f"cannot be read: {error}"
    if contents.chain.value == "broken":
        return "was damaged or changed; see asleft check"
    kinds = [event["kind"] for event in contents.events]
    after = [kind for kind in kinds if kind not in ("sealed", "reviewed", "revealed")]
    if after and after[-1] == "signed":
        last = next(event for event in reversed(contents.events) if event["kind"] == "signed")
        return f"signed {last['outcome']}"
    entries = f"{len(kinds)} entries saved" if kinds else "nothing entered yet"
    return f"open, {entries}" + (", the last one cut short" if contents.chain.value == "torn" else "")
