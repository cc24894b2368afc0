"""What is drawn, waited for; and what can be wrong with it: a width, words cut without a sign, what acts."""

from __future__ import annotations

import asyncio
import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from textual.app import App
from textual.containers import VerticalScroll
from textual.geometry import Region
from textual.pilot import Pilot
from textual.screen import Screen
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input

from asleft.drill.technician import SimulatedClock
from asleft.equipment.library import instruments
from asleft.tui.drawn import drawn_text
from asleft.visit import Visit
from played import blocks, session_bytes

ROOMY = (80, 24)
"""Columns and rows from which nothing may be cut without a sign."""
SIGN = re.compile(r"…|[↑↓] ?\d+|[▁-█]|\d+ more")
"""What says that there is more: an ellipsis, an arrow with a count, a scroll bar."""
HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
POINTS = {"begun": 0.0, "papers": 0.2, "readings": 0.5, "settings": 0.8, "signed": 1.0}
"""Points of a visit, by the part of its events that have happened."""


@cache
def cell_width(character: str) -> int:
    """Cells that a terminal gives a character, from Python's Unicode data, not the screen's."""
    if unicodedata.category(character) in ("Mn", "Me", "Mc", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


async def drawn(pilot: Pilot[Any], words: str) -> list[str]:
    """The lines of the screen once it says something; a minute is waited, for a machine may be busy."""
    for _ in range(3000):
        lines = drawn_text(pilot.app)
        if any(words in line for line in lines):
            return lines
        await pilot.pause(0.02)
    raise AssertionError(f"{words!r} is not drawn:\n" + "\n".join(drawn_text(pilot.app)))


async def stands(app: App[Any], seen: Callable[[list[str]], bool], what: str) -> list[str]:
    """The lines of the screen once they are as they should be, also of a program that has just ended."""
    for _ in range(3000):
        lines = drawn_text(app)
        if seen(lines):
            return lines
        await asyncio.sleep(0.02)
    raise AssertionError(f"not drawn: {what}\n" + "\n".join(drawn_text(app)))


def strips_of(app: App[Any]) -> list[Strip]:
    """The lines of the screen as they are drawn."""
    return list(app.screen._compositor.render_strips())


def troubles(app: App[Any]) -> Iterator[str]:
    """Everything that is wrong with what is drawn now."""
    strips, (width, height) = strips_of(app), app.screen.size
    if len(strips) != height:
        yield f"{len(strips)} lines are drawn, {height} are there"
    for n, strip in enumerate(strips):
        yield from (f"line {n}: {why}: {strip.text!r}" for why in wrong_with(strip, width))
    if width >= ROOMY[0] and height >= ROOMY[1]:
        yield from cut(app.screen, strips)


def wrong_with(strip: Strip, width: int) -> Iterator[str]:
    """A line that is wider or narrower than the screen, or holds what a terminal or a mouse would obey."""
    text = strip.text
    if strip.cell_length != width:
        yield f"{strip.cell_length} cells, not {width}"
    if (drawn := sum(map(cell_width, text))) != width:
        yield f"a terminal gives it {drawn} cells, not {width}"
    if acting := [c for c in text if unicodedata.category(c) in HIDDEN]:
        yield f"acts on a terminal: {acting}"
    for _, style, control in strip:
        if control:
            yield f"control {control}"
        if style is not None and (style.link or "app.quit" in str(style.meta)):
            yield f"a live link {style.link} {style.meta}"


def cut(screen: Screen[Any], strips: list[Strip]) -> Iterator[str]:
    """Widgets whose words do not all stand on the screen, with nothing that says so."""
    for widget in screen.walk_children(Widget):
        if isinstance(widget, Input | Screen) or not seen(widget):
            continue
        shown = screen.find_widget(widget).visible_region
        signed = SIGN.search(words(strips, row(shown, shown.height - 1)))
        region = widget.content_region
        if not widget.children and region.width and not widget.allow_vertical_scroll:
            needs = widget.get_content_height(widget.size, screen.size, region.width)
            if needs > region.height and not signed:
                yield f"{name(widget)} needs {needs} rows and has {region.height}"
        if scrolled(widget):
            continue
        if shown != widget.region and not signed:
            yield f"{name(widget)} is cut: {shown} is seen of {widget.region}"


def scrolled(widget: Widget) -> bool:
    """Whether it stands in something that scrolls and shows by how much."""
    above = (a for a in widget.ancestors if isinstance(a, Widget))
    return any(isinstance(a, VerticalScroll) or a.show_vertical_scrollbar for a in above)


def seen(widget: Widget) -> bool:
    """Whether it is meant to be seen at all."""
    return all(w.display and w.visible for w in (widget, *widget.ancestors) if isinstance(w, Widget))


def name(widget: Widget) -> str:
    """Which widget."""
    return f"{type(widget).__name__}#{widget.id}"


def row(region: Region, at: int) -> Region:
    """One line of a region."""
    return Region(region.x, region.y + max(at, 0), region.width, 1)


def words(strips: list[Strip], region: Region) -> str:
    """What is drawn in a region."""
    part = strips[region.y : region.y + region.height]
    return "\n".join(strip.crop(region.x, region.right).text for strip in part)


def visit_at(folder: Path, point: str, seed: int = 11) -> Visit:
    """A visit played to a point, opened again in a folder of its own."""
    file, data = session_bytes(seed)
    parts = blocks(data)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / file
    path.write_bytes(b"".join(parts[: 1 + round(POINTS[point] * (len(parts) - 1))]))
    named = {i.id: i for i in instruments()}
    return Visit.open(path, named, by="Ada", clock=SimulatedClock(seed))
