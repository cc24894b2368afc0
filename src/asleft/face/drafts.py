"""What was typed and not yet taken, kept on disk so that a killed terminal loses nothing."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.visit import Visit


class Drafts:
    """Typed text by act, in one small file a session. `trouble` says why it could not be kept."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self.trouble = ""
        self._texts: dict[str, str] = self._read()

    def _read(self) -> dict[str, str]:
        if self._path is None or not self._path.is_file():
            return {}
        try:
            found = json.loads(self._path.read_text("utf-8"))
        except (OSError, ValueError) as error:
            self.trouble = f"Drafts could not be read: {error}."
            return {}
        if not isinstance(found, dict):
            return {}
        return {str(k): str(v) for k, v in found.items()}

    def get(self, left: str) -> str:
        """What was typed for an act."""
        return self._texts.get(left, "")

    def put(self, left: str, text: str) -> None:
        """Keep what was typed; an empty text forgets it."""
        if self._texts.get(left, "") == text:
            return
        if text:
            self._texts[left] = text
        else:
            self._texts.pop(left, None)
        self._write()

    def fill(self, texts: Mapping[str, str]) -> None:
        """Offer texts for acts that have none, without writing them down."""
        for left, text in texts.items():
            self._texts.setdefault(left, text)

    def _write(self) -> None:
        if self._path is None:
            return
        try:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            if self._texts:
                aside = self._path.with_suffix(".new")
                aside.write_text(json.dumps(self._texts), "utf-8")
                aside.replace(self._path)
            else:
                self._path.unlink(missing_ok=True)
            self.trouble = ""
        except OSError as error:
            self.trouble = f"What is typed cannot be kept if the terminal dies: {error.strerror}."


def drafts_of(visit: Visit) -> Drafts:
    """The drafts of a session, in this person's state folder."""
    from asleft.settings import state_folder

    folder = state_folder() / "drafts"
    name = "".join(c for c in visit.session_id if c.isalnum() or c == "-")[:64] or "session"
    return Drafts(folder / f"{name}.json")
