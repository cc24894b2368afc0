"""How many keys a whole visit takes, unit by unit, for somebody who knows every reading and the screen.

`PYTHONPATH=tests python tests/bench/keys_typed.py [UNIT ...]`. Never part of the suite.

Characters are those of what is read off a plate, an instrument or the control, a number without its unit
where the screen shows that unit. What is answered out of a list (yes, an option, power, a signature) has
none: its one key is that of the entry. The ratio is keys / (1.15 x characters + one key an entry); at most 1.
"""

from __future__ import annotations

import asyncio
import re
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic

from textual.events import Key
from textual.widgets import Input

from asleft.drill.technician import act
from asleft.equipment.library import find, units
from asleft.face.rows import Row
from asleft.quantity import KINDS
from asleft.session.acts import Act, Enter
from asleft.session.payloads import Entered
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job, begin
from asleft.visit import Refused
from asleft.visit.acts import read_act

SIZE = (80, 24)
SEED = 4
WAIT_S = 60.0
SHARE = 1.15
"""Keys a character may take, mistakes and signs in between counted."""


@dataclass
class Typed:
    """What a visit took."""

    characters: int = 0
    entries: int = 0
    keys: int = 0
    over: Counter[str] = field(default_factory=Counter)
    """Keys more than the budget of an entry, by the kind of its act."""

    @property
    def ratio(self) -> float:
        """Keys over the most that they may be."""
        return self.keys / (SHARE * self.characters + self.entries)


class Person:
    """Somebody at the keys."""

    def __init__(self, app: Wizard, job: Job) -> None:
        self.app, self.job, self.typed = app, job, Typed()

    @property
    def row(self) -> Row:
        """The row under the mark."""
        row: Row | None = self.app.screen.row  # type: ignore[attr-defined]
        assert row is not None
        return row

    @property
    def entry(self) -> str:
        """What stands in the entry line."""
        return self.app.screen.query_one("#entry", Input).value

    @property
    def saved(self) -> int:
        """How many events are on disk."""
        return self.job.visit.view.state.last_n

    async def press(self, *keys: str) -> None:
        """Keys, one after another, each counted, until all are obeyed."""
        self.typed.keys += len(keys)
        for key in keys:
            self.app.post_message(Key(key, key if len(key) == 1 else None))
        done = asyncio.Event()
        self.app.call_later(done.set)
        await asyncio.wait_for(done.wait(), WAIT_S)
        await self.settled()

    async def clear(self) -> None:
        """Nothing in the entry line that what is typed next does not replace."""
        line = self.app.screen.query_one("#entry", Input)
        if line.value and line.selection.is_empty:
            await self.press("ctrl+u")

    async def settled(self) -> None:
        """Until the screen has taken in all messages."""
        for _ in range(3):
            done = asyncio.Event()
            self.app.screen.call_later(done.set)
            await asyncio.wait_for(done.wait(), WAIT_S)

    async def do(self) -> None:
        """The thing that is next, in as few keys as the screen lets it be done."""
        visit, before, keys = self.job.visit, self.saved, self.typed.keys
        done, answer, _ = act(visit.view, self.job.rig)
        if self.row.act != visit.view.next.act:
            await self.press("f2")
        if done != self.row.act:
            raise SystemExit(f"next is {done}, the mark stands on {self.row.left}")
        text = self.shortest(done, answer)
        listed = bool(self.row.choices)
        self.typed.characters += 0 if listed else len(text)
        self.typed.entries += 1
        if listed and not self.means(done, self.entry, answer):
            await self.pick(done, text, answer)
        elif not listed and self.entry != text:
            await self.clear()
            await self.press(*text)
        if self.saved == before:
            await self.press("enter")
        deadline = monotonic() + WAIT_S
        while self.saved == before:
            if monotonic() > deadline or "Not taken" in "\n".join(drawn_text(self.app)):
                raise SystemExit(f"not taken: {done} = {text}\n" + "\n".join(drawn_text(self.app)))
            await asyncio.sleep(0.01)
        await self.settled()
        most = 1 + (0 if listed else SHARE * len(text))
        of_field = "list" if listed else "reading"
        kind = of_field if isinstance(done, Enter) else type(done).__name__
        self.typed.over[kind] += max(0, round(self.typed.keys - keys - most))

    async def pick(self, act: Act, text: str, answer: str) -> None:
        """An answer out of a list: its first letters, or by the arrows where that is fewer keys."""
        before, choices = self.saved, list(self.row.choices)
        meant = next((n for n, choice in enumerate(choices) if self.means(act, choice, answer)), None)
        now = choices.index(self.entry) if self.entry in choices else -1
        if meant is not None and (not self.entry or now >= 0):
            right = (meant - now) % len(choices) if now >= 0 else meant + 1
            back = (now - meant) % len(choices) if now >= 0 else len(choices) - meant
            if min(right, back) <= len(text) + bool(self.entry) and len(text) > 1:
                await self.press(*(["right"] * right if right <= back else ["left"] * back))
                return
        await self.clear()
        for letter in text:
            await self.press(letter)
            if self.saved != before:
                return

    def means(self, act: Act, text: str, answer: str) -> bool:
        """Whether a text would be the same entry as the answer."""
        visit, system = self.job.visit, "ip"
        try:
            meant = self.row.meant(text) if self.row.act == act else text
            mine = read_act(visit.view, visit.instruments, act, meant, system)
            theirs = read_act(visit.view, visit.instruments, act, answer, system)
        except Refused:
            return False
        if isinstance(mine, Entered) and isinstance(theirs, Entered):
            return replace(mine, typed="") == replace(theirs, typed="")
        return mine == theirs

    def shortest(self, act: Act, answer: str) -> str:
        """The fewest characters that mean the answer: no unit where it is shown, a beginning of a choice."""
        candidates = [key for key in self.row.choice_keys if key] if self.row.choices else []
        candidates += [answer[:n] for n in range(1, len(answer))] if self.row.choices else []
        known = self.job.visit.view.ledger.fields.get(str(act))
        if known is not None and known.kind in KINDS:
            candidates += [re.sub(r"[^0-9.,;/ -]+", "", answer).strip(), answer.replace(" ", "")]
        return next((text for text in candidates if text and self.means(act, text, answer)), answer)


async def played(id: str, folder: Path) -> Typed:
    """A whole visit to a unit."""
    job = begin(folder, find(id), SEED)
    app = Wizard(job.visit)
    try:
        async with app.run_test(size=SIZE):
            person = Person(app, job)
            await person.settled()
            while job.visit.view.next.do != "nothing":
                await person.do()
            return person.typed
    finally:
        job.close()


def main() -> int:
    """Print a line a unit; 1 where one takes more keys than the budget."""
    over = False
    for id in sys.argv[1:] or [known.id for known in units()]:
        with TemporaryDirectory() as folder:
            typed = asyncio.run(played(id, Path(folder)))
        over = over or typed.ratio > 1
        print(
            f"{typed.ratio:6.3f}  {id}: {typed.characters} characters, {typed.entries} entries, "
            f"{typed.keys} keys; more than need be: {dict(typed.over.most_common())}",
            flush=True,
        )
    return over


if __name__ == "__main__":
    sys.exit(main())
