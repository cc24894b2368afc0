"""Help pages, one Markdown file a subject, and the cautions that stand where the hazard is."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import tomli

FOLDER = Path(__file__).parent
GUIDES = ("technician", "trainer", "supervisor")
"""Pages that lead one kind of user through all that is for them."""


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
def titles() -> Mapping[str, str]:
    """What each page is called, by subject; the guides for three kinds of user first."""
    first_lines = {subject: page(subject).partition("\n")[0].lstrip("# ") for subject in pages()}
    return {subject: first_lines[subject] for subject in (*GUIDES, *pages())}


@cache
def page(subject: str) -> str:
    """One help page as Markdown. Raises KeyError for a subject without one."""
    if subject not in pages():
        raise KeyError(subject)
    return (FOLDER / f"{subject}.md").read_text("utf-8")


def unmarked(page: str) -> Iterator[tuple[str, str]]:
    """A page a paragraph at a time, without its Markdown; each with how far it stands in."""
    paragraph: list[str] = []
    fenced = False
    for line in (*page.splitlines(), ""):
        fence = line.startswith("```")
        apart = fenced or fence or not line or line.startswith(("    ", "|", "- ", "#"))
        if apart and paragraph:
            yield _unmarked(" ".join(paragraph)), ""
            paragraph = []
        if fence:
            fenced = not fenced
        elif fenced:
            yield line, "  "
        elif line.startswith("- ") or not apart:
            paragraph.append(line.strip())
        elif line.startswith("#"):
            yield _unmarked(line), ""
        else:
            yield _unmarked(line), "  "


def _unmarked(text: str) -> str:
    text = re.sub(r"^#+ ", "", text.strip())
    return re.sub(r"`([^`]*)`", r"\1", re.sub(r"\*\*?([^*]+)\*\*?", r"\1", text))
