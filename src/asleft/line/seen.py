"""What was seen of sessions on this machine: a file cut between two entries is whole by itself."""

from __future__ import annotations

from pathlib import Path

NOT_SEEN = (
    "That a file is whole does not show whether entries were cut off at its end. A seal, a review or an"
    " earlier audit on the same machine does."
)
"""Stands wherever a record is called whole."""


def memory_file() -> Path:
    """Where it stands what was seen of each session: nothing that could be reckoned again."""
    from asleft.settings.places import state_folder

    return state_folder() / "seen.sqlite"


def remember(path: Path) -> None:
    """Remember a real visit as it is now sealed or judged. Raises what reading raises."""
    from asleft.journal import read
    from asleft.review.memory import Memory

    contents = read(path)
    session = contents.header["session"]
    if session["mode"] == "job":
        with Memory(memory_file()) as memory:
            memory.keep([(str(session["id"]), len(contents.events), contents.link)])
