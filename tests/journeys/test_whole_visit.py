"""A whole visit by keyboard, from its beginning to its signature, as a person types it who stands at a unit.

The person sees what is drawn and nothing else: which thing is next, which row it stands on, what to key in.
What the instruments and the control show comes from a virtual unit of the test's own, and is typed.
"""

from __future__ import annotations

import asyncio
import json
import re
import subprocess
import sys
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from textual.app import App
from textual.events import Key, Paste

from asleft import cli
from asleft.drill.rig import BuiltIn
from asleft.drill.site import site
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, shipped
from asleft.line import places
from asleft.session.fields import applicable
from asleft.settings import update
from asleft.tui.drawn import drawn_text
from stillness import still

UNIT, SHORT = "tarnfield-lowmoor-36", "quillfen-heron"
PLAIN_READER = Path(__file__).parent.parent / "journal" / "plain_reader.py"
WAIT_S = 60.0
VISIT_S = 600.0
LONG = 12
"""Characters from which a person would rather paste."""


class Bench:
    """What stands before the person: the unit, its papers and the instruments, asked one at a time."""

    def __init__(self, seed: int, unit: str) -> None:
        equipment = find(unit).equipment
        here = site(seed, equipment)
        self._rig = BuiltIn(VirtualUnit(equipment, here, seed))
        self._fields = applicable(equipment, here.situation)
        self.job = here.job

    def read(self, id: str) -> str:
        """What the instrument or the plate says."""
        field = self._fields[id]
        used = self.job.get(f"identity.instrument.{field.instrument}", "")
        return self._ask({"do": "read", "field": id, "kind": field.kind, "instrument": used})["typed"]

    def look(self, setting: str, address: str, keyed: str = "") -> str:
        """What the control shows, its query code keyed first where it has one."""
        if keyed:
            return self._ask({"do": "code", "code": keyed, "address": address})["shown"]
        return self._ask({"do": "look", "setting": setting, "address": address})["shown"]

    def write(self, setting: str, address: str, value: str, keyed: str = "") -> str:
        """What the control shows after a value was set."""
        if keyed:
            return self._ask({"do": "code", "code": keyed, "address": address})["shown"]
        return self._ask({"do": "write", "setting": setting, "address": address, "value": value})["shown"]

    def switch(self, state: str) -> None:
        """Power off or on."""
        self._ask({"do": "power", "state": state})

    def _ask(self, request: dict[str, str]) -> dict[str, Any]:
        answer = self._rig.ask(request)
        assert "refused" not in answer, (request, answer)
        return answer


class Person:
    """Somebody at the keys who reads the screen."""

    def __init__(self, pilot: Any) -> None:
        self.pilot = pilot
        self.app: App[Any] = pilot.app

    # ---- eyes

    def lines(self) -> list[str]:
        """The screen as it stands."""
        return drawn_text(self.app)

    def text(self) -> str:
        """The same in one piece without the rail, long sentences that were broken put together."""
        return " ".join(beside_the_rail(line) for line in self.lines())

    def act(self) -> str:
        """What the line of what is next says in brackets."""
        after = self.text().partition("next F2: ")[2]
        found = re.search(r"\[([^\[\]]+)\]", after)
        return found[1].strip() if found else ""

    def _entry_at(self, lines: list[str]) -> int:
        below = next((n for n, line in enumerate(lines) if line.startswith(" next F2: ")), 0)
        return next((n for n in range(below - 1, -1, -1) if " > " in lines[n] + " "), 0)

    def title(self) -> str:
        """The line over the ledger, which says which pane it is."""
        lines = self.lines()
        return beside_the_rail(lines[1] if "│" in lines[1] else lines[2])

    def entry(self) -> str:
        """What stands in the entry line."""
        lines = self.lines()
        return (lines[self._entry_at(lines)] + " ").partition(" > ")[2].strip()

    def message(self) -> str:
        """What is said under the entry line."""
        lines = self.lines()
        return lines[self._entry_at(lines) + 1].strip()

    def told(self) -> bool:
        """Whether the step that is next is told over the entry line, and how it is done below it."""
        step, lines = self.text().partition("next F2: ")[2][:16], self.lines()
        return any(beside_the_rail(line).startswith(step) for line in lines[: self._entry_at(lines)])

    def saved(self) -> str:
        """How far the visit is on disk."""
        found = re.search(r"saved \d+|signed (?:not )?commissioned", self.lines()[0])
        return found[0] if found else ""

    async def until(self, seen: Callable[[], Any], wanted: str) -> None:
        """Look until something is seen."""
        deadline = monotonic() + WAIT_S
        while not seen():
            if monotonic() > deadline:
                raise AssertionError(wanted + "\n" + "\n".join(self.lines()))
            await asyncio.sleep(0.005)
            await still()

    # ---- fingers

    def press(self, *keys: str) -> None:
        """Keys, sent as the terminal sends them."""
        for key in keys:
            self.app.post_message(Key(key, key if len(key) == 1 else None))

    async def type(self, text: str) -> None:
        """Text, a key a character or pasted, until it stands in the entry line."""
        if len(text) < LONG:
            self.press(*text)
        else:
            self.app.post_message(Paste(text))
        await self.until(lambda: self.entry().endswith(text[-3:].strip()), f"{text!r} is not drawn")

    async def go(self) -> str:
        """F2 to the thing that is next, and what that is."""
        act = self.act()
        self.press("f2")
        await self.until(
            lambda: not self.message().startswith(("Saved", "Undo", "Redo")), f"F2 does nothing: {act}"
        )
        return act

    async def enter(self) -> None:
        """Enter, and the screen says that it is saved."""
        before = self.saved()
        self.press("enter")
        await self.until(
            lambda: self.saved() != before or self.message().startswith("Not"), "Enter does nothing"
        )
        assert self.saved() != before, "\n".join(self.lines())


def beside_the_rail(line: str) -> str:
    """The part of a line that is the pane's own, or the page's that stands over it."""
    return line.strip().strip("│").rpartition("│")[2].strip()


# ---- what happens by the way, each once


async def turn_the_pane(person: Person, text: str) -> None:
    """Half typed, another pane and back: the half is there."""
    await person.type(text[:4])
    here = person.title()
    person.press("tab", "tab")
    await person.until(lambda: person.title() != here, "Tab turns no pane")
    assert person.entry() != text[:4]
    person.press("shift+tab", "shift+tab")
    await person.until(lambda: person.entry() == text[:4], "the draft is gone")
    await person.type(text[4:])


async def choose_with_the_arrows(person: Person, text: str) -> None:
    """Right goes through the choices until the wanted one stands in the entry."""
    seen: list[str] = []
    while person.entry() != text:
        before = person.entry()
        person.press("right")
        await person.until(lambda before=before: person.entry() not in ("", before), "Right gives no choice")
        assert person.entry() not in seen, (text, seen)
        seen.append(person.entry())


async def mistype(person: Person, text: str) -> None:
    """A comma is refused beside the field, stays there, and is mended."""
    before = person.saved()
    await person.type("1,5")
    person.press("enter")
    await person.until(lambda: person.message().startswith("Not taken"), "1,5 was taken")
    assert (person.entry(), person.saved()) == ("1,5", before)
    person.press("backspace", "backspace", "backspace")
    await person.until(lambda: person.entry() == "", "Backspace takes nothing away")
    await person.type(text)


async def resize(person: Person, text: str) -> None:
    """The window shrinks and grows again: what was typed is there and goes on."""
    size = person.app.size
    await person.type(text[:3])
    for width, height in ((100, 30), (60, 16), (12, 3), tuple(size)):
        await person.pilot.resize_terminal(width, height)
    await person.until(lambda: person.entry() == text[:3], "the draft is gone")
    await person.type(text[3:])


async def look_things_up(person: Person, text: str) -> None:
    """Working and help open over what is typed, and close."""
    await person.type(text)
    before = person.act()
    for key, word in (("f4", "Rule:"), ("f1", "Electrical checks")):
        person.press(key)
        await person.until(
            lambda word=word: any(word in line for line in person.lines()) and not person.act(),
            f"{key} opens nothing",
        )
        person.press("escape")
        await person.until(lambda: person.act() == before, f"{key} does not close")
        assert person.entry() == text


async def undo_and_redo(person: Person) -> None:
    """The last act goes and comes back; before each the screen says which."""
    following = person.act()
    for key, name, act in (("f6", "Undo", "identity.code"), ("f7", "Redo", following)):
        before = person.saved()
        person.press(key)
        await person.until(lambda name=name: person.message().startswith(f"{name}: "), f"{key} says nothing")
        assert person.saved() == before
        person.press(key)
        await person.until(lambda act=act: person.act() == act, f"{name} is not done")
        assert person.saved() != before


async def weigh(person: Person) -> None:
    """The recommended option stands ready; the arrows go to another and come back."""
    recommended = person.entry()
    line = re.compile(rf"(^|│) {re.escape(recommended)} .*recommended")
    await person.until(lambda: any(map(line.search, person.lines())), "another stands ready")
    person.press("right")
    await person.until(lambda: person.entry() != recommended, "Right gives no other option")
    person.press("left")
    await person.until(lambda: person.entry() == recommended, "Left does not come back")


TYPED: dict[str, Callable[[Person, str], Awaitable[None]]] = {
    "identity.serial": turn_the_pane,
    "identity.orientation": choose_with_the_arrows,
    "identity.altitude": mistype,
    "blower.design_airflow": resize,
    "electrical.ground.resistance": look_things_up,
}


async def work(person: Person, bench: Bench) -> list[tuple[str, str]]:
    """Do what is next until nothing is. Gives every act with what was typed for it."""
    done: list[tuple[str, str]] = []
    await person.until(person.act, "the wizard does not say what is next")
    while person.act() != "nothing":
        act = await person.go()
        head, _, rest = act.partition(":")
        if head in ("choose", "sign"):
            await person.until(person.entry, f"nothing stands ready for {act}")
            text = person.entry()
            if head == "choose" and not any(a.startswith("choose:") for a, _ in done):
                await weigh(person)
        else:
            if head in ("found", "wrote", "read_back"):
                await person.until(person.told, f"nothing says how: {act}")
            text = answer(person, bench, head, rest.strip())
            await TYPED.get(act, Person.type)(person, text)
        done.append((act, text))
        await person.enter()
        if act == "identity.code":
            await undo_and_redo(person)
    return done


def answer(person: Person, bench: Bench, head: str, rest: str) -> str:
    """What the person sees at the unit, going by the words on the screen."""
    match head:
        case "acknowledge":
            return "yes"
        case "power":
            bench.switch(rest)
            return rest
        case "found" | "read_back" | "wrote":
            setting, _, address = rest.partition("@")
            found = re.search(r"Key: (\S+)", person.text())
            keyed = found[1] if found else ""
            if head != "wrote":
                return bench.look(setting, address, keyed)
            meant = re.search(r"Set “[^”]+” to (.+?) at ", person.text())
            assert meant, "\n".join(person.lines())
            return bench.write(setting, address, meant[1], keyed)
        case _:
            return bench.read(head)


# ---- the visit


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's own folder, and a program that thinks it has a terminal."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "own"))
    monkeypatch.setattr("asleft.line.places.person", lambda: "Ada")
    for module in ("cli", "visiting"):
        monkeypatch.setattr(f"asleft.{module}.terminal", lambda: True)
    return tmp_path


Hands = dict[str, Callable[[Person], Awaitable[None]]]


def play(monkeypatch: pytest.MonkeyPatch, size: tuple[int, int], hands: Hands, words: list[str]) -> int:
    """Run a command; every screen that it shows is worked by the hands of its name."""
    trouble: list[BaseException] = []

    def run(app: App[Any], **_: Any) -> Any:
        async def play(pilot: Any) -> None:
            try:
                await hands[type(app).__name__](Person(pilot))
            except BaseException as error:
                trouble.append(error)
                app.exit()
                raise

        whole = app.run_async(headless=True, size=size, auto_pilot=play)
        return asyncio.run(asyncio.wait_for(whole, VISIT_S))

    monkeypatch.setattr(App, "run", run)
    code = cli.main(words)
    if trouble:
        raise trouble[0]
    return code


@pytest.mark.parametrize(
    ("size", "seed", "from_home", "unit"), [((80, 24), 4, True, UNIT), ((120, 40), 5, False, SHORT)], ids=str
)
def test_a_visit_typed_from_beginning_to_signature(
    desk: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    size: tuple[int, int],
    seed: int,
    from_home: bool,
    unit: str,
) -> None:
    """Chosen at home or named as a file, typed key by key, signed, and sound to anybody who reads it."""
    bench, done = Bench(seed, unit), []
    folder = desk / "own" / "sessions" if from_home else desk / "visits"
    begun: list[bool] = []
    update({"technician": "Ada"})
    minutes = count()
    begins = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
    # Ten minutes of heat take ten minutes by the clock: so does every entry one.
    monkeypatch.setattr(
        places, "real_clock", lambda: f"{begins + timedelta(minutes=next(minutes)):%Y-%m-%dT%H:%M:%SZ}"
    )

    async def home(person: Person) -> None:
        await person.until(lambda: "New visit" in person.text(), "there is no new visit on offer")
        if begun:  # home again, behind the visit, whatever came of it
            await person.until(lambda: "Mill Lane 3" in person.text(), "the visit is not listed")
            person.press("q")
            return
        for key, text, asked in (
            ("n", "Lowmoor", "which unit?"),
            ("enter", "Mill Lane 3", "where?"),
            ("enter", "", "who does the work?"),
        ):
            person.press(key)
            await person.until(lambda asked=asked: asked in person.text(), f"{asked!r} is not asked")
            person.press(*text)
            await person.until(lambda text=text: text in person.text(), f"{text!r} is not drawn")
        person.press("enter")

    async def wizard(person: Person) -> None:
        begun.append(True)
        done.extend(await work(person, bench))
        assert "signed commissioned" in person.lines()[0]
        person.press("f10")

    file = str(shipped() / f"{unit}.toml")
    words = [] if from_home else ["new", "--equipment", file, "--out", str(folder)]
    assert play(monkeypatch, size, {"Home": home, "Wizard": wizard}, words) == 0

    (path,) = folder.iterdir()
    assert capsys.readouterr().err == ""
    assert cli.main(["check", str(path), "--json"]) == 0
    checked = json.loads(capsys.readouterr().out)
    assert (checked["chain"], checked["signed"], checked["outcome"]) == ("whole", True, "commissioned")

    plain = subprocess.run([sys.executable, PLAIN_READER, path], capture_output=True, text=True, check=True)
    events = json.loads(plain.stdout)["event"]
    kinds = [event["kind"] for event in events]
    assert (kinds[-1], events[-1]["outcome"]) == ("signed", "commissioned")
    retracted = 2 if "identity.code" in {act for act, _ in done} else 0
    assert kinds.count("retracted") == retracted
    told = 2 if from_home else 0  # site and technician, asked before the wizard
    assert len(events) == len(done) + retracted + told
    settings = {"found", "wrote", "read_back", "chose"} if unit == UNIT else set()
    assert {"entered", "used", "powered", "acknowledged", *settings} <= set(kinds)
    kept = [(e["field"], e["typed"]) for e in events if e["kind"] == "entered"]
    assert kept[told:] == [(act, text) for act, text in done if act in dict(kept)]
    if unit == UNIT:
        assert {act for act, _ in done} >= {*TYPED, "identity.code"}
