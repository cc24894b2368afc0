"""A widget of lines draws again what says something else, and all of it where it looks otherwise."""

from __future__ import annotations

from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.content import Content

from asleft.tui.drawn import drawn_text
from asleft.tui.lined import Lined
from asleft.tui.safe import styled
from tui.looking import strips_of

FIRST = ["one", "two", "three"]


class Lines(App[None]):
    """Nothing but lines."""

    CSS = "Lined { height: 3; color: $primary; }"

    def compose(self) -> ComposeResult:
        """Three of them."""
        yield Lined(id="lines")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The lines that are made, one after another."""
    made: list[int] = []
    real = Lined._strip

    def strip(self: Lined, y: int) -> Any:
        made.append(y)
        return real(self, y)

    monkeypatch.setattr(Lined, "_strip", strip)
    return made


def put(app: App[None], *lines: Content) -> None:
    """Show these."""
    app.query_one(Lined).put_lines(lines)


async def test_only_a_line_that_says_something_else_is_made_again(made: list[int]) -> None:
    """Other words, other styles over the same words, a line fewer; the same again makes none."""
    app = Lines()
    async with app.run_test(size=(20, 3)) as pilot:
        put(app, *map(styled, FIRST))
        await pilot.pause()
        for lines, wanted in (
            ([*map(styled, FIRST)], []),
            ([styled("one"), styled("2"), styled("three")], [1]),
            ([styled("one", "bold"), styled("2"), styled("three")], [0]),
            ([styled("one", "bold"), styled("2")], [2]),
            ([styled("one", "bold"), styled("2")], []),
        ):
            made.clear()
            put(app, *lines)
            await pilot.pause()
            assert made == wanted, lines
            assert drawn_text(app) == [line.plain for line in lines] + [""] * (3 - len(lines))


async def test_another_theme_or_width_draws_all_of_it(made: list[int]) -> None:
    """Though every line says what it said."""
    app = Lines()
    async with app.run_test(size=(20, 3)) as pilot:
        put(app, *map(styled, FIRST))
        await pilot.pause()
        dark = strips_of(app)
        made.clear()
        app.theme = "textual-light"
        put(app, *map(styled, FIRST))
        await pilot.pause()
        light = strips_of(app)
        assert {0, 1, 2} <= set(made)
        assert [strip.text for strip in light] == [strip.text for strip in dark]
        assert all(one != other for one, other in zip(dark, light, strict=True))
        made.clear()
        await pilot.resize_terminal(10, 3)
        put(app, *map(styled, FIRST))
        await pilot.pause()
        assert {0, 1, 2} <= set(made)
        assert all(strip.cell_length == 10 for strip in strips_of(app))
