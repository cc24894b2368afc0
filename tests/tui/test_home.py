"""The home screen by keyboard and mouse: every group, both sizes, hostile names, the way back."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.pilot import Pilot

from asleft.desk import closer, lessons
from asleft.equipment.library import units
from asleft.face.closer import Closer
from asleft.face.glance import Glance
from asleft.face.listing import Listed, Listing, sessions
from asleft.settings import load, settings_file, update
from asleft.tui import Desk, HomeChoice
from asleft.tui.drawn import drawn_text
from asleft.tui.home import Home
from asleft.tui.home_items import first_choice, items, looked_closer_at, when
from hostile import ACTING, VISIBLE
from played import cut_after, session_bytes

SIZES = [(80, 24), (120, 40)]
NOW = datetime(2026, 3, 25, 8, 0, tzinfo=UTC)


@pytest.fixture
def folder(own_home: Path) -> Path:
    """The sessions folder, of somebody who has been asked before."""
    update({"technician": "Ada Cole"})
    made = own_home / "sessions"
    made.mkdir()
    return made


def put(folder: Path, **files: bytes) -> None:
    """Session files, the first the newest."""
    for age, (name, content) in enumerate(files.items()):
        path = folder / f"{name}.toml"
        path.write_bytes(content)
        os.utime(path, (1_800_000_000 - age, 1_800_000_000 - age))


def home(folder: Path, notice: str = "") -> Home:
    """Home on a folder, with the real closer look."""
    return Home(
        Desk(lambda: sessions(folder), units, closer, lessons, login="login", notice=notice, now=lambda: NOW)
    )


def text_of(app: Home) -> str:
    """All that is drawn, as one text."""
    return "\n".join(drawn_text(app))


def marked(app: Home) -> str:
    """The line with the mark."""
    return next(line for line in drawn_text(app) if "▸" in line)


async def settled(pilot: Pilot[HomeChoice]) -> None:
    """Until every open visit has been looked at closer."""
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_every_group_says_how_each_thing_stands(folder: Path, size: tuple[int, int]) -> None:
    """Open with what is next and what was cut, signed with outcome and date, foreign and damaged with why."""
    data = session_bytes()[1]
    put(
        folder,
        open=cut_after(data, 40),
        torn=cut_after(data, 41)[:-30],
        damaged=cut_after(data, 50).replace(b'typed = "', b'typed = "x', 1),
        signed=data,
        foreign=b"hello",
    )
    app = home(folder)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        lines, text = drawn_text(app), text_of(app)
        assert lines[0].endswith("Ada Cole")
        assert [w for w in ("Open visits", "Begin", "Recent sessions", "No sessions") if w in text] == [
            "Open visits",
            "Begin",
            "Recent sessions",
            "No sessions",
        ]
        at = next(n for n, line in enumerate(lines) if " 1  Saltern Way 17 (demo) · Tarnfield" in line)
        assert "written yesterday 13:4" in lines[at]
        assert "40 entries saved · next: " in lines[at + 1]
        assert "40 entries saved · next: " in text.partition(" 2  ")[2]
        assert "Its last line was cut short as it was written; nothing else was lost." in text
        assert "49 entries saved; it is damaged" in text or "50 entries saved; it is damaged" in text
        assert "! Event 1 (lines " in text
        assert "commissioned, yesterday 15:15" in text
        assert "foreign.toml: this is no session file" in text
        for key, label in (
            ("n", "New visit"),
            ("d", "Demo"),
            ("l", "Lesson"),
            ("s", "Settings"),
            ("h", "Help"),
            ("q", "Leave"),
        ):
            assert any(f" {key}  {label}" in line for line in lines)
        assert all(len(line) <= size[0] for line in lines)


async def test_one_open_visit_is_one_enter_away_after_a_dropped_line(folder: Path) -> None:
    """Its row has the mark, although newer sessions are signed."""
    data = session_bytes()[1]
    put(folder, signed=data, open=cut_after(data, 12)[:-40])
    app = home(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "1  Saltern Way 17" in marked(app)
        await pilot.press("enter")
    assert app.return_value == HomeChoice("open", folder / "open.toml")


async def test_with_nothing_open_the_mark_is_on_a_new_visit(folder: Path) -> None:
    """And with several on the one last written."""
    put(folder, signed=session_bytes()[1])
    app = home(folder)
    async with app.run_test(size=(80, 24)):
        assert "n  New visit" in marked(app)
    two = Listing(tuple(Listed(Path(n), 0.0, Glance()) for n in "ab"))
    assert first_choice(two) == "session-1"


@pytest.mark.parametrize(
    ("keys", "choice"),
    [
        (["d"], HomeChoice("demo")),
        (["D"], HomeChoice("demo")),
        (["q"], None),
        (["f10"], None),
        (["2"], "second"),
        (["end", "enter"], "second"),
        (["end", "home", "enter"], "first"),
        (["down", "up", "enter"], "first"),
        (["9", "x", "q"], None),
    ],
    ids=str,
)
async def test_each_key_does_what_it_says(folder: Path, keys: list[str], choice: object) -> None:
    """Letters, digits, arrows; a key that is none does nothing."""
    data = session_bytes()[1]
    put(folder, first=cut_after(data, 3), second=data)
    app = home(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
    wanted = HomeChoice("open", folder / f"{choice}.toml") if isinstance(choice, str) else choice
    assert app.return_value == wanted


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_click_takes_what_is_under_it(folder: Path, size: tuple[int, int]) -> None:
    """The second line of an item as well as the first; a heading nothing; the wheel moves the mark."""
    put(folder, open=cut_after(session_bytes()[1], 3))
    app = home(folder)
    async with app.run_test(size=size) as pilot:
        lines = drawn_text(app)
        heading = next(n for n, line in enumerate(lines) if "Begin" in line)
        await pilot.click(offset=(6, heading))
        assert app.return_value is None
        app.screen.query_one("#home").on_mouse_scroll_down()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "n  New visit" in marked(app)
        second = next(n for n, line in enumerate(lines) if "3 entries saved" in line)
        await pilot.click(offset=(6, second))
    assert app.return_value == HomeChoice("open", folder / "open.toml")


async def test_a_new_visit_asks_unit_site_and_name(folder: Path) -> None:
    """Typing narrows the list, a refusal says what is wanted, Esc goes one back and keeps what was typed."""
    app = home(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("n")
        assert "New visit: which unit?" in drawn_text(app)[0]
        await pilot.press(*"zzz", "enter")
        assert "Choose a unit that is listed" in text_of(app)
        await pilot.press(*["backspace"] * 3, *"lowmoor tarn")
        assert "tarnfield-lowmoor-36" in marked(app)
        assert "osmere" not in text_of(app)
        await pilot.press("enter")
        await pilot.press("enter")
        assert "A site in printable letters belongs here." in text_of(app)
        await pilot.press(*"Mill [/red] 7", "enter")
        assert "> Ada Cole" in text_of(app).replace("        ", " ").replace("  ", " ")
        await pilot.press("escape")
        assert "New visit: where?" in drawn_text(app)[0]
        assert "Mill [/red] 7" in text_of(app)
        await pilot.press("enter", "enter")
    assert app.return_value == HomeChoice("new", None, "tarnfield-lowmoor-36", "Mill [/red] 7", "Ada Cole")


async def test_esc_from_the_first_question_of_a_new_visit_goes_home(folder: Path) -> None:
    """And the arrows choose a unit without typing; a click too."""
    app = home(folder)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("n", "escape")
        assert "Begin" in text_of(app)
        await pilot.press("n", "down", "down")
        third = marked(app)
        row = next(n for n, line in enumerate(drawn_text(app)) if "▸" in line)
        await pilot.press("up")
        assert marked(app) != third
        await pilot.click(offset=(8, row))
        assert "New visit: where?" in drawn_text(app)[0]


async def test_help_opens_and_closes(folder: Path) -> None:
    """With h and with F1."""
    app = home(folder)
    async with app.run_test(size=(80, 24)) as pilot:
        for key in ("h", "f1"):
            await pilot.press(key)
            await pilot.pause()
            assert "Esc closes" in text_of(app)
            assert "Open visits are those that are not signed" in text_of(app)
            await pilot.press("escape")
            assert "Begin" in text_of(app)


@pytest.mark.parametrize("text", [*ACTING.values(), *VISIBLE.values()], ids=ascii)
def test_hostile_sites_and_names_are_only_text_at_any_width(text: str, tmp_path: Path) -> None:
    """Whatever a file says of itself or is called, each line is as wide as its place and nothing acts."""
    from asleft.tui.menu import _drawn

    listed = (
        Listed(tmp_path / "a", 0.0, Glance(site=text, unit=text, mode=text, entries=3, at=text, cut=True)),
        Listed(tmp_path / "b", 1e18, Glance(site=text, outcome=text or "x", at="9999-12-31T23:59:59Z")),
        Listed(Path(f"{text}.toml".replace("/", "")), 0.0, Glance(trouble=text or "x")),
    )
    for looked in ({}, {tmp_path / "a": Closer(next=text)}, {tmp_path / "a": Closer(trouble=text or "x")}):
        made, _ = items(Listing(listed, trouble=text), looked, NOW, roomy=True)
        for width in (4, 5, 20, 41, 80):
            for item in made:
                for line in item.lines:
                    drawn = _drawn(line, width, mark=True, here=True)
                    assert drawn.cell_length == width
                    assert drawn.plain.isprintable()


async def test_hostile_files_are_drawn_and_do_nothing(folder: Path) -> None:
    """File names with escapes and markup, at every size from a single cell up."""
    data = session_bytes()[1]
    put(folder, open=cut_after(data, 3))
    for n, text in enumerate([*ACTING.values(), *VISIBLE.values(), "\udcff"]):
        name = text.replace("/", "").replace("\0", "")[:60]
        (folder / f"{n}{name}.toml").write_bytes(data[:500] if n % 2 else b"x")
    app = home(folder, notice="[/red] \x1b[2J")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "[/red] ?[2J" in text_of(app)
        await pilot.resize_terminal(20, 5)
        assert "Too small: 20 x 5." in " ".join(line.strip() for line in drawn_text(app))
        small, wide = [(1, 1), (2, 1), (20, 5), (39, 10), (40, 10)], [(41, 11), (60, 16), (200, 60), (80, 24)]
        for keys in (("down",), ("n",), ("escape", "s"), ("enter",), ("escape", "escape", "h"), ("escape",)):
            await pilot.press(*keys)
            for size in (*small, *wide):
                await pilot.resize_terminal(*size)
                assert all(line.isprintable() for line in drawn_text(app)), (keys, size)
    assert load().settings.technician == "Ada Cole"


async def test_a_folder_that_cannot_be_listed_is_said(own_home: Path) -> None:
    """With why; all else works."""
    update({"technician": "Ada"})
    (own_home / "sessions").write_text("a file")
    app = home(own_home / "sessions")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Sessions cannot be listed" in text_of(app)
        assert "not a directory" in text_of(app)
        await pilot.press("d")
    assert app.return_value == HomeChoice("demo")


async def test_a_broken_settings_file_is_told_and_left_alone(folder: Path) -> None:
    """In a sentence over the list; nothing is asked anew; saving keeps the old file beside."""
    broken = 'technician = "Ada"\nunits = "furlong"\ntheme = "light"\n'
    settings_file().write_text(broken)
    app = home(folder)
    async with app.run_test(size=(120, 40)) as pilot:
        assert f'{settings_file()}:2: units: found "furlong"' in text_of(app).replace("\n", "").replace(
            "  ", ""
        )
        assert app.theme == "textual-light"
        assert settings_file().read_text() == broken
        await pilot.press("s", "enter")
        await pilot.press("enter")
        assert "is kept as" in text_of(app)
        await pilot.press("escape")
        assert "furlong" not in text_of(app)
    assert settings_file().with_name("settings.toml.old-1").read_text() == broken
    assert dict(load().settings.every()) == {"technician": "Ada", "theme": "light"}


@pytest.mark.parametrize(
    ("at", "said"),
    [
        ("2026-03-25T07:05:00Z", "today 07:05"),
        ("2026-03-24T23:59:00Z", "yesterday 23:59"),
        ("2026-03-23T23:59:00Z", "23 Mar 2026 23:59"),
        ("2027-01-02T03:04:05Z", "2 Jan 2027 03:04"),
        ("", "14 Nov 2023 22:13"),
        ("nonsense", "14 Nov 2023 22:13"),
    ],
)
def test_when_it_was_written_is_said_as_people_do(at: str, said: str) -> None:
    """From the record; from the file where the record does not say."""
    assert when(at, 1_700_000_000.0, NOW) == said


async def test_home_is_there_before_anything_heavy_is_loaded(folder: Path) -> None:
    """Neither models nor units nor the wizard; the closer look brings them later."""
    import subprocess
    import sys

    put(folder, open=cut_after(session_bytes()[1], 3))
    code = (
        "import sys, asleft.cli as cli, asleft.tui.home as home\n"
        "class Quick(home.HomeScreen):\n"
        "    def on_mount(self):\n"
        "        self.call_after_refresh(self.app.exit)\n"
        "home.HomeScreen = Quick\n"
        "run = home.Home.run\n"
        "home.Home.run = lambda self: run(self, headless=True)\n"
        "import asleft.visiting\n"
        "cli.terminal = asleft.visiting.terminal = lambda: True\n"
        "assert cli.main([]) == 0\n"
        "heavy = {'pydantic', 'pint', 'argparse', 'markdown_it', 'asleft.tui.wizard', 'asleft.visit',\n"
        "         'asleft.checks', 'asleft.quantity', 'asleft.equipment', 'asleft.journal'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    env = {**os.environ, "PYTHONPATH": ":".join(filter(None, sys.path))}
    assert subprocess.check_output([sys.executable, "-c", code], text=True, env=env).strip() == "[]"


def test_a_signed_session_that_was_changed_is_not_called_commissioned(tmp_path: Path) -> None:
    """Its end says so; a closer look says that it is damaged, and which entry."""
    data = bytearray(session_bytes()[1])
    data[data.index(b'by = "', data.index(b"\nn = 80\n")) + 6] ^= 1
    (tmp_path / "changed.toml").write_bytes(data)
    listing = sessions(tmp_path)
    (path,) = looked_closer_at(listing)
    made, files = items(listing, {path: closer(path)}, NOW)
    told = [f"{line.text} {line.right}" for item in made for line in item.lines]
    assert path in files.values()
    assert any("it is damaged" in line for line in told)
    assert any("Event 80 " in line for line in told)
    assert not any("commissioned" in line for line in told)


async def test_each_thing_to_say_stands_on_a_line_of_its_own(folder: Path) -> None:
    """What went wrong in the last visit, and what is wrong with the settings."""
    settings_file().write_text("technician = 3\n")
    app = home(folder, notice="The disk was full.")
    async with app.run_test(size=(80, 24)):
        said = [line.strip() for line in drawn_text(app) if line.strip().startswith("!")]
        assert said[0] == "! The disk was full."
        assert len(said) >= 2
