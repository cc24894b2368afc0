"""A visit by the keyboard alone and one by the mouse alone end in the same bytes; only values are typed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rich.cells import cell_len
from textual.events import Paste
from textual.pilot import Pilot

from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.face.rows import SHORT, TITLES, Row
from asleft.session.acts import Choose
from asleft.session.fields import PANES
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import Job, begin

SEED = 3
SIZES = [(80, 24), (120, 40)]
UNIT, PART = "osmere-corrie-24", 24
"""A unit, and how many acts of a visit to it are done by the mouse; the small one is done to its end."""
WHOLE = "quillfen-heron"


class Hands:
    """Does what is next at a wizard. Each kind of hands knows its own way to stand, to choose and to take."""

    def __init__(self, pilot: Pilot[None], job: Job) -> None:
        self.pilot, self.app, self.job = pilot, pilot.app, job

    @property
    def row(self) -> Row:
        """The row under the mark."""
        row: Row | None = self.app.screen.row  # type: ignore[attr-defined]
        assert row is not None
        return row

    def lines(self) -> list[str]:
        """The screen as it stands."""
        return drawn_text(self.app)

    async def do(self, n: int) -> None:
        """One act."""
        view = self.job.visit.view
        done, answer, _ = act(view, self.job.rig)
        assert done == view.next.act, f"{done} is not next"
        await self.stand(n)
        assert self.row.act == done, "\n".join(self.lines())
        if self.row.choices:
            topic = view.equipment.topic_of(done.topic) if isinstance(done, Choose) else None
            option = view.ledger.option(topic, answer) if topic is not None else None
            await self.choose(self.row.meant(option.label if option is not None else answer))
        else:
            await self.value(answer)
        before = view.state.last_n
        await self.take()
        assert self.job.visit.view.state.last_n > before, "\n".join(self.lines())

    async def value(self, text: str) -> None:
        """A value, as both have to give it."""
        self.app.post_message(Paste(text))
        await self.pilot.pause()

    async def stand(self, n: int) -> None:
        """Onto the row of what is next."""
        raise NotImplementedError

    async def choose(self, choice: str) -> None:
        """A choice into the entry."""
        raise NotImplementedError

    async def take(self) -> None:
        """What stands in the entry."""
        raise NotImplementedError


class Keyboard(Hands):
    """Keys alone: F2, or by Tab and the arrows; choices by their keys, their letters or the arrows."""

    async def stand(self, n: int) -> None:
        """By F2, every third time by the panes and the arrows."""
        if n % 3:
            await self.pilot.press("f2")
            return
        following = self.job.visit.view.next
        for _ in PANES:
            if any(TITLES[following.pane] in line for line in self.lines()[1:3]):
                break
            await self.pilot.press("tab")
        await self.pilot.press(*["pageup"] * 8)
        for _ in range(200):
            if self.row.left == following.enter:
                return
            await self.pilot.press("down")
        raise AssertionError(f"no row of {following.enter}")

    async def choose(self, choice: str) -> None:
        """By its key where it has one, else by Right."""
        if self.app.screen.query_one("#entry").value == choice:  # type: ignore[attr-defined]
            return
        key = self.row.choice_keys[self.row.choices.index(choice)]
        if key:
            await self.pilot.press("ctrl+u", key)
            return
        await self.pilot.press("ctrl+u")
        for _ in self.row.choices:
            await self.pilot.press("right")
            if self.app.screen.query_one("#entry").value == choice:  # type: ignore[attr-defined]
                return
        raise AssertionError(f"the arrows do not come to {choice}")

    async def take(self) -> None:
        """Enter."""
        await self.pilot.press("enter")


class Mouse(Hands):
    """Clicks alone, on what is drawn; values are pasted, as a mouse cannot say them."""

    async def click(self, words: str, lines: slice = slice(None), after: str = "") -> bool:
        """A click in the middle of these words, if they are drawn, on the first line that has them."""
        for y, line in list(enumerate(self.lines()))[lines]:
            start = line.find(after) + len(after) if after in line else -1
            at = line.find(words, max(start, 0)) if start >= 0 or not after else -1
            if at >= 0:
                x = cell_len(line[:at]) + min(1, cell_len(words) - 1)
                await self.pilot.click(offset=(x, y))
                return True
        return False

    def below(self) -> int:
        """The line of what is next."""
        return next(n for n, line in enumerate(self.lines()) if line.startswith(" next "))

    async def stand(self, n: int) -> None:
        """By the line of what is next, every third time by the name of the pane and the row itself."""
        following = self.job.visit.view.next
        if n % 3 == 0:
            name = SHORT if self.app.size.width < 112 else TITLES
            assert await self.click(name[following.pane])
            label = self._label(following.enter)
            if (
                await self.click(f"  {label[:20]}", slice(2, self.below() - 2))
                and self.row.left == following.enter
            ):
                return
        assert await self.click("next ", slice(self.below(), None))

    def _label(self, left: str) -> str:
        rows = self.app.screen._standing.rows  # type: ignore[attr-defined]
        return next(row.label for row in rows if row.left == left)

    async def choose(self, choice: str) -> None:
        """On its name below the ledger, or where it stands beside the others."""
        entry = self.app.screen.query_one("#entry")
        key = self.row.choice_keys[self.row.choices.index(choice)]
        named = f"{key} {choice}" if key else choice
        below = self.below()
        for words, lines in ((named, slice(below - 1, below)), (choice, slice(3, below - 2))):
            if entry.value == choice or await self.click(words, lines):  # type: ignore[attr-defined]
                await self.pilot.pause()
            if entry.value == choice:  # type: ignore[attr-defined]
                return
        raise AssertionError(f"{choice!r} cannot be clicked\n" + "\n".join(self.lines()))

    async def take(self) -> None:
        """On Enter among the keys."""
        assert await self.click("Enter take", slice(-1, None)), "\n".join(self.lines())


async def played(folder: Path, unit: str, size: tuple[int, int], hands: type[Hands], most: int) -> bytes:
    """The session after so many acts by these hands."""
    job = begin(folder, find(unit), SEED)
    app = Wizard(job.visit)
    try:
        async with app.run_test(size=size) as pilot:
            person = hands(pilot, job)
            for n in range(most):
                if job.visit.view.next.do == "nothing":
                    break
                await person.do(n)
        return job.visit.path.read_bytes()
    finally:
        job.close()


@pytest.mark.parametrize(("unit", "size", "most"), [(WHOLE, SIZES[0], 300), (UNIT, SIZES[1], PART)], ids=str)
async def test_keys_alone_and_clicks_alone_leave_the_same_record(
    tmp_path: Path, unit: str, size: tuple[int, int], most: int
) -> None:
    """To the signature at the sparse unit, on the small screen; into a visit to another on the wide one."""
    by_keys = await played(tmp_path / "keys", unit, size, Keyboard, most)
    by_clicks = await played(tmp_path / "clicks", unit, size, Mouse, most)
    assert by_keys == by_clicks
    assert (b'kind = "signed"' in by_keys) == (unit == WHOLE)


FOOTER: dict[str, tuple[str, Callable[[list[str]], bool]]] = {
    "F1 help": ("escape", lambda lines: any("Keys" in line or "Esc closes" in line for line in lines)),
    "F4 working": ("escape", lambda lines: any("Esc closes" in line for line in lines)),
    "F6 undo": ("down", lambda lines: any("Undo: event 1" in line for line in lines)),
    "F3 reading": ("down", lambda lines: any("no rig here" in line for line in lines)),
}


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_the_keys_on_the_last_line_do_when_clicked_what_they_do_when_pressed(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """Help, working, undo, the rig, panes and leaving; the small screen has no room for the working."""
    job = begin(tmp_path, find(WHOLE), SEED)
    job.visit.enter("identity.technician", "Ada")
    app: Any = Wizard(job.visit)
    try:
        async with app.run_test(size=size) as pilot:
            mouse = Mouse(pilot, job)
            for words, (back, seen) in FOOTER.items():
                if not await mouse.click(words, slice(-1, None)):
                    assert (words, size) == ("F4 working", SIZES[0]), "\n".join(mouse.lines())
                    continue
                await pilot.pause()
                assert seen(mouse.lines()), words + "\n" + "\n".join(mouse.lines())
                await pilot.press(back)
            for pane in PANES:
                assert await mouse.click((SHORT if size[0] < 112 else TITLES)[pane])
                assert any(TITLES[pane] in line for line in mouse.lines()[:3])
            assert await mouse.click("F10 leave", slice(-1, None))
            await pilot.pause()
            assert app._exit
    finally:
        job.close()
