"""Help pages, one Markdown file a subject, and the cautions that stand where the hazard is."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import tomli

FOLDER = Path(__file__).parent


@cache
def cautions() -> Mapping[str, Mapping[str, str]]:
    """Caution texts: under "pane" by pane, under "state" by what the unit is doing."""
    found: Mapping[str, Mapping[str, str]] = tomli.loads((FOLDER / "cautions.toml").read_text("utf-8"))
    return found


@cache
def pages() -> tuple[str, ...]:
    """The subjects that have a page."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.md")))


@cache
def page(subject: str) -> str:
    """One help page as Markdown. Raises KeyError for a subject without one."""
    if subject not in pages():
        raise KeyError(subject)
    return (FOLDER / f"{subject}.md").read_text("utf-8")
