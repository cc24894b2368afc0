"""Questions about an equipment file, one a line, each answer held at once against the rules of loading."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from itertools import pairwise
from typing import Any, TextIO

import tomli

from asleft.equipment.errors import EquipmentErrors
from asleft.equipment.errors import Path as Place
from asleft.help import FOLDER
from asleft.line.equipment_parts import sections
from asleft.line.equipment_sparse import as_toml
from asleft.line.text import plain, say, wrapped

Put = Callable[[dict[str, Any], Any], None]
"""What keeps an answer in the file so far."""


class Ended(Exception):
    """The input ended, or was no text, before every question was answered."""


class Interview:
    """What is asked and what was answered: ``raw`` is the file so far, ``notes`` comments for its values."""

    def __init__(self, source: TextIO, shown: TextIO) -> None:
        self.raw: dict[str, Any] = {"format": 1}
        self.notes: dict[tuple[str, object], str] = {}
        self._source, self._shown = source, shown
        self.took_offer = False
        self._words = tomli.loads((FOLDER / "equipment-new.toml").read_text("utf-8"))

    @property
    def band(self) -> tuple[float, str]:
        """The band of voltage offered where the plate prints none, as a fraction, and its source."""
        return self._words["band"]["fraction"], self._words["band"]["source"]

    def heading(self, part: str) -> None:
        """Say which part is asked about now."""
        say("", self._shown)
        say(wrapped(self._words["heading"][part]), self._shown)

    def ask(
        self,
        place: Place,
        read: Callable[[str], Any] = str,
        *,
        default: str | None = None,
        optional: str = "",
        put: Put | None = None,
    ) -> str | None:
        """Ask for a field until the answer is one that loading takes, and keep it.

        Gives the answer as typed or offered; None for an empty one where ``optional`` says what that does.
        ``put`` keeps an answer that fills more than its own field. Raises Ended.
        """
        name = ".".join(part for part in place if isinstance(part, str))
        if default is None and not optional:
            default = self._words["default"].get(name)
        offer = f" [{plain(default)}]" if default is not None else f" ({optional})" if optional else ""
        while True:
            typed = self._line(f"{self._words['ask'][name]}{offer}: ")
            if typed == "?":
                self._explain(name)
                continue
            self.took_offer = not typed
            answer = typed or default
            if answer is None and optional:
                return None
            trial = deepcopy(self.raw)
            if answer is not None:
                value = read(answer)
                if put is not None:
                    put(trial, value)
                else:
                    keep(trial, place, value)
            wrong = sorted(complaints(trial) - complaints(self.raw))
            if answer is not None and not wrong:
                self.raw = trial
                return answer
            found, expected = wrong[0] if wrong else ("nothing", self._meaning(name))
            say(wrapped(f"found {found}, expected {expected}", "  "), self._shown)

    def _line(self, prompt: str) -> str:
        self._shown.write(prompt)
        self._shown.flush()
        try:
            line = self._source.readline()
            line.encode()
        except UnicodeError:
            raise Ended("The input is not UTF-8.") from None
        if not line:
            raise Ended("The input ended before every question was answered.")
        if not self._source.isatty():
            say(plain(line.strip()), self._shown)
        return line.strip()

    def _explain(self, name: str) -> None:
        part, _, key = name.rpartition(".")
        entry = next(entry for entry in sections()[part].fields if entry.key == key)
        told = f"{entry.description[:1].upper()}{entry.description[1:]}; {entry.takes}."
        say(wrapped(f"{told} In a file: {entry.example}", "  "), self._shown)

    def _meaning(self, name: str) -> str:
        part, _, key = name.rpartition(".")
        return next(entry.description for entry in sections()[part].fields if entry.key == key)


def complaints(raw: dict[str, Any]) -> set[tuple[str, str]]:
    """What loading would say of a file so far, apart from what is only missing yet."""
    from asleft.equipment.load import load_bytes

    try:
        load_bytes(as_toml(raw).encode(), "answers")
    except EquipmentErrors as errors:
        return {(error.found, error.expected) for error in errors.errors if error.found != "nothing"}
    return set()


def keep(raw: dict[str, Any], place: Place, value: Any) -> None:
    """Put a value at a place, making the tables on the way; a list is begun by its 0."""
    here: Any = raw
    for part, following in pairwise(place):
        if isinstance(part, int):
            while len(here) <= part:
                here.append({})
            here = here[part]
        else:
            empty: Any = [] if isinstance(following, int) else {}
            here = here.setdefault(part, empty)
    here[place[-1]] = value
