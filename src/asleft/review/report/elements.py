"""Elements of a picture, written so that no text in them can be taken for one."""

from __future__ import annotations

from html import escape

TEXT = 15.0
"""Size of the letters that are not said to be larger or smaller."""


class Tag(str):
    """Text that is an element already."""

    __slots__ = ()


def tag(name: str, *inside: str, **attributes: object) -> Tag:
    """An element: what is inside and an element already stays, all other text is escaped."""
    written = "".join(
        f' {_attribute(key)}="{escape(f"{value:g}" if isinstance(value, float) else str(value))}"'
        for key, value in attributes.items()
        if value != ""
    )
    body = "".join(part if isinstance(part, Tag) else escape(part) for part in inside)
    return Tag(f"<{name}{written}>{body}</{name}>")


def line(x1: float, y1: float, x2: float, y2: float, width: float, **more: object) -> Tag:
    """A straight line."""
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke_width=width, **more)


def words(
    said: str, x: float, y: float, anchor: str, *, weight: str = "", size: float = TEXT, halo: bool = False
) -> Tag:
    """A line of text; with a halo it can be read on top of lines."""
    more = {"stroke": "#fff", "stroke_width": 4.0, "paint_order": "stroke"} if halo else {}
    return tag(
        "text",
        said,
        x=round(x, 2),
        y=round(y, 2),
        text_anchor=anchor,
        font_weight=weight,
        font_size="" if size == TEXT else size,
        **more,
    )


def _attribute(key: str) -> str:
    return key if key == "viewBox" else key.replace("_", "-")
