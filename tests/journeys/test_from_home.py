"""A person at a real terminal: from the first start to a visit and back home, and after a dropped line."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from asleft.equipment.library import find, instruments
from asleft.journal import Chain, read
from asleft.session.acts import Enter
from asleft.settings import load, settings_file, update
from asleft.tui import Wizard
from asleft.tui.drawn import drawn_text
from asleft.unattended import play
from asleft.visit import Visit
from played import UNIT, session_bytes

pytest.importorskip("termios")
from faults.test_screen_kill import DOWN, ENTER, F2, F10, Terminal, marked

REMEMBERED = {
    "technician": "Somebody",
    "units": "si",
    "theme": "light",
    "code": "IEC 60364",
    "altitude": "3000 m",
    "instruments.meter": "Mine | voltage 5 % |",
    "keys.next": "f12",
}
"""Settings that differ from what a visit is without them in all that can."""


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Any]:
    """Start the program on a new terminal."""
    made: list[Terminal] = []

    def begin(*words: str) -> Terminal:
        made.append(Terminal(list(words), tmp_path / "state"))
        return made[-1]

    yield begin
    for terminal in made:
        terminal.close()


def sessions(own_home: Path) -> list[Path]:
    """The session files."""
    return sorted((own_home / "sessions").glob("*.toml"))


def begin_a_visit(terminal: Terminal) -> None:
    """From home: the unit by typing, the site, the name as offered."""
    terminal.see("New visit")
    terminal.send(b"n")
    terminal.see("which unit?")
    terminal.send(b"lowmoor")
    terminal.see("Unit >      lowmoor")
    terminal.send(ENTER)
    terminal.see("New visit: where?")
    terminal.send(b"Mill Lane 3", ENTER)
    terminal.see("who does the work?")
    terminal.send(ENTER)
    terminal.see("next F2:")


def test_from_the_first_start_to_a_visit_and_back_home(start: Any, own_home: Path) -> None:
    """Asked once, then a visit with the name as given; leaving the wizard is not leaving the program."""
    terminal = start()
    terminal.see("The first start")
    terminal.send(b"Ada Cole", ENTER)
    terminal.see("as the unit's supply")
    terminal.send(F10)
    begin_a_visit(terminal)
    assert "Mill Lane 3" in terminal.lines()[0]
    assert terminal.lines()[0].endswith("saved 2")
    terminal.send(F10)
    terminal.see("Open visits")
    terminal.see("1  Mill Lane 3 · Tarnfield Lowmoor LM36E")
    terminal.see("2 entries saved · next: ")
    terminal.send(b"q")
    assert terminal.ended() == 0
    (path,) = sessions(own_home)
    contents = read(path)
    assert contents.header["session"]["opened_by"] == "Ada Cole"
    assert [e["typed"] for e in contents.events] == ["Ada Cole", "Mill Lane 3"]


def test_a_dropped_line_is_one_enter_away(start: Any, own_home: Path) -> None:
    """Killed in a visit begun from home; bare `asleft` and Enter go on with all that was saved."""
    update({"technician": "Ada"})
    terminal = start()
    begin_a_visit(terminal)
    terminal.send(F2, b"Lowmoor LM36E", ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 3"), "it is not saved")
    terminal.program.send_signal(signal.SIGKILL)
    terminal.ended()
    (path,) = sessions(own_home)
    with path.open("ab") as file:
        file.write(b"\n[[event]]\nn = 4\nat = ")
    again = start()
    again.see("Its last line was cut short as it was written; nothing else was lost.")
    again.send(ENTER)
    again.see("next F2:")
    assert again.lines()[0].endswith("saved 3")
    again.send(F10)
    again.see("Open visits")
    again.send(F10)
    assert again.ended() == 0
    assert read(path).chain is Chain.WHOLE


@pytest.mark.parametrize("where", ["home", "wizard"])
def test_told_to_end_it_ends_and_does_not_come_back_home(where: str, start: Any) -> None:
    """Whichever screen it stands on."""
    update({"technician": "Ada"})
    terminal = start()
    if where == "wizard":
        begin_a_visit(terminal)
    else:
        terminal.see("New visit")
    terminal.program.send_signal(signal.SIGTERM)
    assert terminal.ended() == 0
    assert b"Traceback" not in terminal.raw


def test_a_visit_that_cannot_be_opened_is_said_at_home(start: Any, own_home: Path) -> None:
    """Another program has it open: the sentence stands over the list, and the program goes on."""
    update({"technician": "Ada"})
    folder = own_home / "sessions"
    named = {i.id: i for i in instruments()}
    clock = lambda: "2031-05-04T09:00:00Z"  # noqa: E731
    folder.mkdir()
    held = Visit.create(folder, find(UNIT), named, site="x", by="Ada", clock=clock, session_id="1")
    terminal = start()
    terminal.see("nothing entered yet · next:")
    terminal.send(ENTER)
    terminal.see("another program has this session open")
    terminal.send(b"q")
    assert terminal.ended() == 0
    held.close()


def test_an_instrument_taken_into_use_is_offered_at_the_next_visit(start: Any, own_home: Path) -> None:
    """Written when the visit is left, not before; the demo neither offers nor remembers."""
    update({"technician": "Ada", "code": "NEC 2020"})
    terminal = start("new", "--equipment", UNIT, "--site", "Mill Lane 3")
    terminal.see("> Ada")
    terminal.send(ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 2"), "the name is not taken")
    while not (mark := marked(terminal.lines())).startswith("Meter"):
        terminal.send(DOWN)
        terminal.until(lambda lines, mark=mark: marked(lines) not in ("", mark), f"Down stays on {mark}")
    terminal.send(b"meter-corwen", ENTER)
    terminal.until(lambda lines: lines[0].endswith("saved 3"), "the meter is not taken")
    assert "meter" not in load().settings.instruments
    terminal.send(F10)
    assert terminal.ended() == 0
    assert load().settings.instruments == {"meter": "meter-corwen"}

    demo = start("demo", "--seed", "4", "--out", str(own_home / "demo"))
    demo.see("next F2:")
    assert not any(line.endswith("> Ada") for line in demo.lines())
    demo.send(F10)
    demo.ended()


async def test_what_is_offered_is_typed_over_emptied_or_taken(tmp_path: Path) -> None:
    """It counts with Enter alone; Esc empties the line; coming back offers it again; nothing by itself."""
    named = {i.id: i for i in instruments()}
    clock = lambda: "2031-05-04T09:00:00Z"  # noqa: E731
    visit = Visit.create(tmp_path, find(UNIT), named, site="x", by="Ada", clock=clock, session_id="1")
    offers = {"identity.technician": "Ada", "identity.code": "NEC 2020", "identity.altitude": "1200 ft"}
    app = Wizard(visit, offers={Enter(field): text for field, text in offers.items()})

    def entry() -> str:
        return next(line.partition(" >")[2].strip() for line in drawn_text(app) if " >" in line)

    async with app.run_test(size=(80, 24)) as pilot:
        assert entry() == "Ada"
        assert "it counts once you enter it" in "\n".join(drawn_text(app))
        await pilot.press("escape")
        assert entry() == ""
        await pilot.press("down", "up")
        assert entry() == "Ada"
        await pilot.press(*"Bea")
        assert entry() == "Bea"
        await pilot.press("enter")
        assert visit.view.state.text("identity.technician") == "Bea"
        while "identity.altitude" not in app.screen.row.left:  # type: ignore[attr-defined]
            await pilot.press("down")
        assert entry() == "1200 ft"
        await pilot.press("enter")
        while "identity.code" not in app.screen.row.left:  # type: ignore[attr-defined]
            await pilot.press("down")
        await pilot.press("right")
        assert entry() == "NEC 2023"
        await pilot.press("left", "enter")
    assert visit.view.state.text("identity.code") == "NEC 2020"
    assert visit.view.state.last_n == 3
    visit.close()


def test_settings_do_not_show_in_what_is_played_without_a_person(tmp_path: Path) -> None:
    """Same seed, same bytes, whatever is remembered; and playing remembers nothing.

    Through the screen the same is shown in `test_unattended_screen`.
    """
    update(REMEMBERED)
    before = settings_file().read_bytes()
    name, data = session_bytes(4)
    assert play(tmp_path / "headless", find(UNIT), 4).path.read_bytes() == data
    assert settings_file().read_bytes() == before
    assert name in os.listdir(tmp_path / "headless")
