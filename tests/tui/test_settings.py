"""The first start and the settings screen, by keyboard and mouse."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from textual.events import Key

from asleft.face.listing import Listing
from asleft.settings import SETTINGS, load, settings_file, update
from asleft.settings.schema import FIRST
from asleft.tui import Desk, HomeChoice
from asleft.tui.drawn import drawn_text
from asleft.tui.home import Home
from hostile import ACTING, VISIBLE
from tui.looking import stands

SIZES = [(80, 24), (120, 40)]


def home() -> Home:
    """Home with no sessions, for somebody whose login is ada."""
    return Home(Desk(Listing, list, lambda _: pytest.fail("nothing to look at"), login="ada"))


def text_of(app: Home) -> str:
    """All that is drawn, as one text with single blanks."""
    return " ".join(" ".join(drawn_text(app)).split())


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_the_first_start_asks_once_what_is_remembered(size: tuple[int, int]) -> None:
    """Name, units, instruments, code, altitude; Enter takes, Esc leaves for later; never again."""
    app = home()
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        lines = drawn_text(app)
        assert lines[0].startswith(" The first start")
        assert all(
            any(setting.label in line for line in lines) for setting in SETTINGS if setting.key in FIRST
        )
        assert any(line.strip().startswith(">") and line.endswith("ada") for line in lines)
        await pilot.press("enter")  # the login's name, as offered
        assert "▸ Units" in text_of(app)
        await pilot.press("down", "down", "enter")  # SI
        assert "none of these: asked at every visit" in text_of(app)
        assert "Corwen 40 multimeter, no. 1182" in text_of(app)
        assert "voltage 0.5 % + 2 x 0.1 V; resistance 1 % + 2 x 0.01 ohm" in text_of(app)
        await pilot.press("down", "enter")  # the first meter
        await pilot.press("enter")  # no clamp: none of these
        await pilot.press("escape", "escape")  # manometer and thermometer later
        await pilot.press("down", "down", "enter", *"Mine | airflow 4 % | 2031-13-01", "enter")
        assert "Not taken: instruments.anemometer: found" in text_of(app)
        assert "expected an accuracy for velocity" in text_of(app)
        await pilot.press("ctrl+u", *"Mine | velocity 4 % | 2031-13-01", "enter")
        assert "a day as YYYY-MM-DD" in text_of(app)
        assert "Mine | velocity 4 % | 2031-13-01" in text_of(app)
        await pilot.press("escape")
        assert "▸ Code edition" in text_of(app)
        await pilot.press("down", "down", "down", "enter")
        await pilot.press(*"300", "enter")
        assert 'found "300", expected' in text_of(app)
        await pilot.press(*" m", "enter")
        assert "New visit" in text_of(app)
        assert drawn_text(app)[0].endswith("ada")
    assert dict(load().settings.every()) == {
        "technician": "ada",
        "units": "si",
        "instruments.meter": "meter-corwen",
        "code": "NEC 2023",
        "altitude": "300 m",
    }
    again = home()
    async with again.run_test(size=size) as pilot:
        await pilot.pause()
        assert "New visit" in text_of(again)
        assert "first start" not in text_of(again)


@pytest.mark.parametrize("keys", [["escape"] * len(FIRST), ["f10"]], ids=["all later", "the rest later"])
async def test_who_leaves_everything_for_later_is_not_asked_again(keys: list[str]) -> None:
    """Esc at each, or F10 at once, which does not leave the program."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*keys)
        assert "New visit" in text_of(app)
        await pilot.press("q")
    assert app.return_value is None
    assert load().there
    assert dict(load().settings.every()) == {}


async def test_what_was_answered_before_the_line_dropped_is_kept() -> None:
    """Each answer is on disk when the next is asked."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*"Cole", "enter")
        assert load().settings.technician == "Cole"


async def test_a_key_typed_ahead_does_not_overtake_the_entry_before_it() -> None:
    """Name, Enter and F10 in one go, as a slow line brings them: the name is kept."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key in ("B", "e", "a", "enter", "f10", "f10"):
            app.post_message(Key(key, key if len(key) == 1 else None))
        await stands(app, lambda _: app.return_code is not None, "the program was left")
    assert load().settings.technician == "Bea"


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_every_setting_is_a_row_that_opens_and_saves(size: tuple[int, int]) -> None:
    """Choices at what is set, text with what is set; Esc leaves it; the theme shows at once."""
    update({"technician": "Ada", "units": "si", "code": "NEC 2026", "keys.next": "f12"})
    app = home()
    async with app.run_test(size=size) as pilot:
        await pilot.press("s")
        text = text_of(app)
        assert str(settings_file())[-20:] in text or size[0] == 80
        assert all(setting.label in text for setting in SETTINGS)
        assert "next = f12" in text
        await pilot.press("end", "down", "down", "down", "pagedown", "pagedown", "enter")
        assert "▸ dark" in text_of(app)
        await pilot.press("down", "enter")
        assert app.theme == "textual-light"
        assert "Saved: Colours." in text_of(app)
        await pilot.press("up", "up", "up", "enter")
        assert "▸ NEC 2026" in text_of(app)
        await pilot.press("up", "escape")
        await pilot.press("pageup", "pageup", "enter", "right", *"eline", "enter")
        await pilot.press("escape")
        assert drawn_text(app)[0].endswith("Adaeline")
        await pilot.press("q")
    assert dict(load().settings.every()) == {
        "technician": "Adaeline",
        "units": "si",
        "code": "NEC 2026",
        "theme": "light",
        "keys.next": "f12",
    }


async def test_the_mouse_opens_a_row_and_takes_a_choice() -> None:
    """One click each."""
    update({"technician": "Ada"})
    app = home()
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("s")
        row = next(n for n, line in enumerate(drawn_text(app)) if "Units" in line)
        await pilot.click(offset=(6, row))
        choice = next(n for n, line in enumerate(drawn_text(app)) if "inch-pound: in. w.c." in line)
        await pilot.click(offset=(6, choice))
        assert "Saved: Units." in text_of(app)
    assert load().settings.units == "ip"


async def test_where_nothing_can_be_saved_it_is_said_and_the_program_goes_on(read_only: Path) -> None:
    """What was typed stays in its line; home works."""
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "enter", "right", *" Cole", "enter")
        assert "Settings could not be saved in" in text_of(app)
        assert "Ada Cole" in text_of(app)
        await pilot.press("escape", "escape", "d")
    assert app.return_value == HomeChoice("demo")
    assert load().settings.technician == "Ada"


async def test_a_first_start_on_a_read_only_system_ends_at_home(
    own_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It says that it will have to ask again."""

    def refused(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(Path, "mkdir", refused)
    app = home()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        assert "read-only file system" in text_of(app)
        await pilot.press("f10")
        assert "You will be asked again at the next start." in text_of(app)
        await pilot.press("q")
    assert app.return_value is None


async def test_hostile_values_and_instruments_are_drawn_as_text(own_home: Path) -> None:
    """What stands in the file or is typed acts on nothing, at any size."""
    folder = own_home / "equipment"
    folder.mkdir(parents=True)
    texts = [
        t for t in [*ACTING.values(), *VISIBLE.values()] if t.isprintable() and '"' not in t and "\\" not in t
    ]
    (folder / "instruments.toml").write_text(
        "format = 1\n"
        + "".join(
            f'[[instrument]]\nid = "i{n}"\nname = "{text}"\nrole = "meter"\naccuracy = ["{text}"]\n'
            for n, text in enumerate(texts)
        ),
        "utf-8",
    )
    update({"technician": "[/red] a", "instruments.meter": "gone [@click=app.quit]x[/]"})
    app = home()
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("s")
        assert "[/red] a" in text_of(app)
        assert "gone [@click=app.quit]x[/], not listed" in text_of(app)
        await pilot.press("down", "down", "enter")
        for size in ((1, 1), (20, 5), (40, 10), (80, 24), (120, 40)):
            await pilot.resize_terminal(*size)
            await pilot.press(*["down"] * len(texts))
            await pilot.press("pageup", "pageup")
            await pilot.pause()
            assert all(line.isprintable() for line in drawn_text(app))
            if size == (20, 5):
                assert "Too small: 20 x 5." in " ".join(line.strip() for line in drawn_text(app))
        await pilot.press("escape", "up", "up", "enter")
        entry = app.screen.query_one("#set-entry")
        entry.value = "\x1b[2J"  # type: ignore[attr-defined]
        await pilot.press("enter")
        assert 'found "\\x1b[2J"' in text_of(app)
    assert load().settings.technician == "[/red] a"
