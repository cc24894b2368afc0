"""The page written as HTML: no script, nothing from outside, and no text that could be taken for either."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from asleft.review.report.page import Page
    from asleft.review.report.safe import Safe

MARK = '<meta name="generator" content="asleft report">'
"""What tells a report of ours from any other file."""
_HEAD = 2000
"""Characters at the beginning of a page in which its marks stand."""
_SESSION = re.compile(r'<meta name="asleft-session" content="([^"]*)">')


def as_html(page: Page) -> str:
    """The page; the same record gives the same bytes."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    def written(value: Any) -> Any:
        """What a template puts out: elements of ours as they are, everything else made harmless."""
        return value if isinstance(value, Markup) else page.safe(str(value))

    environment = Environment(
        loader=FunctionLoader(_file),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=written,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("page.html.j2").render(
        page=page,
        mark=Markup(MARK),
        css=Markup(_file("page.css")),
        pictures=[picture._replace(svg=Markup(picture.svg)) for picture in page.pictures],
        verdict=_verdict,
        broken=_breakable(page.safe),
    )


def session_of(text: str) -> str | None:
    """The session of a page; empty where nothing was verified, None for what is no report of ours."""
    head = text[:_HEAD]
    found = _SESSION.search(head)
    return found[1] if MARK in head and found else None


@cache
def _file(name: str) -> str:
    return resources.files(__package__).joinpath(name).read_text("utf-8")


def _verdict(words: str) -> Any:
    """A verdict with its sign. The words are ours, so no name that is left out can hide one."""
    from markupsafe import Markup, escape

    if words.startswith("FAIL"):
        return Markup('<strong class="fail">✗\u00a0{}</strong>').format(words)
    if words.startswith("pass"):
        return Markup('<span class="pass">{}\u00a0{}</span>').format("✓" if words == "pass" else "≈", words)
    return Markup("<em>{}</em>").format(words) if words else escape("")


def _breakable(safe: Safe) -> Any:
    """Writes a long digest so that it may be broken into lines."""
    from markupsafe import Markup

    def parts(text: str) -> Any:
        return Markup("<wbr>").join(re.findall(".{1,16}", safe(text)) if len(text) > 40 else [safe(text)])

    return parts
