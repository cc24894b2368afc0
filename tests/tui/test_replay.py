"""A replay on the screen: the ledger as it was, the event, the verdicts then and today, troubles."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.line.replay import opened
from asleft.review.replay import Told
from asleft.tui.drawn import drawn_text
from asleft.tui.replay import ReplayApp, Replayed
from asleft.tui.replay_lines import keys_line, told_lines
from review.sessions import Event, session, where
from review.test_examine import low_volts, with_note
from tui.looking import drawn, stands, troubles
from tui.pictures import is_kept


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No settings of a person, and colours."""
    monkeypatch.setenv("ASLEFT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("NO_COLOR", raising=False)


def app_of(data: bytes, tmp_path: Path) -> ReplayApp:
    """The screen on a file."""
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    found, replay = opened(path, "ip")
    return ReplayApp(Replayed(replay, path, "job"), "ip", found.contents.trouble)


async def looked_through(app: ReplayApp) -> None:
    """Once every event has been looked at for the timeline, and the timeline is drawn."""

    def whole(lines: list[str]) -> bool:
        return any("-" in line and set(line) <= set(" -|!") for line in lines)

    await stands(app, whole, "the timeline with every event looked at")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=str)
async def test_the_ledger_stands_as_it_stood(tmp_path: Path, size: tuple[int, int]) -> None:
    """On the row of the event, with nothing of later ones."""
    app = app_of(session(), tmp_path)
    async with app.run_test(size=size) as pilot:
        lines = await drawn(pilot, "event 1 of 162")
        assert any("▸ Technician" in line and "Mina Dunmore" in line for line in lines)
        assert not any("Orchard Foot 2" in line for line in lines)
        assert not list(troubles(app))
        await pilot.press(*["pagedown"] * 4, "right")
        await drawn(pilot, "event 42 of 162")
        assert not list(troubles(app))
        if size[0] < 200:
            await looked_through(app)
            await is_kept(app, f"replay-{size[0]}x{size[1]}")
        await pilot.press("left", "home")
        await drawn(pilot, "event 1 of 162")
        await pilot.press("end")
        await drawn(pilot, "event 162 of 162")


async def test_n_and_p_stop_at_trouble_only(tmp_path: Path) -> None:
    """A finding that begins to fail, then the breach; beyond there is none."""
    app = app_of(session(lambda events: with_note(broke="EL-1")(list(low_volts(events)))), tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await drawn(pilot, "event 1 of 163")
        await pilot.press("n")
        await drawn(pilot, "! EL-")
        for _ in range(20):
            if any("breach of EL-1" in line for line in drawn_text(app)):
                break
            await pilot.press("n")
            await pilot.pause(0.05)
        lines = await drawn(pilot, "breach of EL-1")
        assert any("event 162 of 163" in line for line in lines)
        await pilot.press("enter")
        await drawn(pilot, "Today: no verdict changed")
        await pilot.press("escape")
        for _ in range(3):
            await pilot.press("n")
        await drawn(pilot, "No further trouble that way.")
        await pilot.press("p")
        await drawn(pilot, "! ")


async def test_it_plays_and_stops_and_keeps_to_a_pane(tmp_path: Path) -> None:
    """Faster with +; o skips what is of other panes."""
    app = app_of(session(), tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await drawn(pilot, "event 1 of 162")
        await pilot.press("+", "space")
        await drawn(pilot, "event 5 of 162")
        await pilot.press("space")
        await drawn(pilot, "Space plays 5/s")
        await pilot.press("home", "o", "f", "tab", "right")
        lines = await drawn(pilot, "Electrical checks")
        assert not any("event 2 of 162" in line for line in lines)


async def test_damage_stands_at_the_end_and_nothing_behind_it(tmp_path: Path) -> None:
    """With the place in the file."""
    app = app_of(session().replace(b"238", b"239", 1), tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await drawn(pilot, "event 1 of")
        await pilot.press("end")
        lines = await drawn(pilot, "DAMAGE: ")
        assert any(line.rstrip().endswith("|X") for line in lines)


async def test_nothing_can_be_entered(tmp_path: Path) -> None:
    """The file is as it was, whatever is pressed."""
    data = session()
    app = app_of(data, tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await drawn(pilot, "event 1 of 162")
        await pilot.press(*"abc", "enter", "f2", "f3", "f6", "ctrl+z", "f8", "f9", "f1", "escape")
        await drawn(pilot, "of 162")
        await pilot.press("q")
    assert (tmp_path / "x.toml").read_bytes() == data


def shown_otherwise(events: list[Event]) -> list[Event]:
    """Another verdict than was shown, in the middle."""
    events[where(events, field="electrical.line.l1_l2")]["verdicts"] = ["EL-2 unit fail", "XX-9 unit pass"]
    return events


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
async def test_verdicts_then_stand_beside_those_of_today(tmp_path: Path, size: tuple[int, int]) -> None:
    """Each on a line of its own, whole, and what differs in words; the keys say how to leave."""
    app = app_of(session(shown_otherwise), tmp_path)
    async with app.run_test(size=size) as pilot:
        await drawn(pilot, "event 1 of 162")
        await pilot.press("n")
        lines = await drawn(pilot, "event 68 of 162")
        assert any("only then:  EL-2 unit fail, XX-9 unit pass" in line for line in lines)
        assert any("only today: EL-2 unit pass, EL-3 unit pass" in line for line in lines)
        assert any("! other verdicts today than then" in line for line in lines)
        assert any("F10 leave" in line for line in lines)
        assert not list(troubles(app))


async def test_trouble_stands_on_the_timeline_before_anybody_went_there(tmp_path: Path) -> None:
    """What the record itself says is there at once; the rest when it has been looked at."""
    app = app_of(session(lambda events: with_note(broke="EL-1")(list(low_volts(events)))), tmp_path)
    async with app.run_test(size=(200, 60)) as pilot:
        await drawn(pilot, "event 1 of 163")
        await looked_through(app)
        (line,) = [line.strip() for line in drawn_text(app) if set(line) == set(" -|!")]
        assert len(line) == 163
        assert line.startswith("|")
        assert [n for n, sign in enumerate(line, 1) if sign == "!"][-1] == 162
        assert line[67] == "!"


async def test_too_small_for_the_ledger_it_says_the_event_and_the_size_wanted(tmp_path: Path) -> None:
    """And keys still do what they do."""
    app = app_of(session(shown_otherwise), tmp_path)
    async with app.run_test(size=(50, 12)) as pilot:
        await drawn(pilot, "event 1 of 162")
        await pilot.press("n")
        lines = await drawn(pilot, "event 68 of 162")
        assert any("only then:  EL-2 unit fail" in line for line in lines)
        assert any("Make the window 60 by 16 or larger" in line for line in lines)
        for size in ((1, 1), (3, 40), (200, 2), (60, 16)):
            await pilot.resize_terminal(*size)
            await pilot.press("right")
        await drawn(pilot, "event 72 of 162")


@pytest.mark.parametrize("width", range(20, 130, 7))
@pytest.mark.parametrize("room", [1, 2, 3, 5])
def test_lines_keep_to_their_room(width: int, room: int) -> None:
    """Whatever there is to be said, cut with a sign; how to leave stands among the keys."""
    many = tuple(f"EL-{n} circuit.{n}.measured not measured" for n in range(40))
    told = Told(5, "2031-05-04T09:30:00Z", "A", "entered", "x" * 300, many[:30], many[10:], ("y " * 90,))
    lines = told_lines(told, width, room, ["z " * 200])
    assert 0 < len(lines) <= room
    assert all(len(line) <= width for line in lines)
    keys = keys_line(width, rate=0.5, plays=False, follows=False, only=False)
    assert keys.endswith("F10 leave")
    assert len(keys) <= max(width, 42)
