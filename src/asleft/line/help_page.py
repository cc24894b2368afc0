"""`asleft help`: the help pages of the wizard, and a guide for each kind of user, in plain lines."""

from __future__ import annotations

from asleft.equipment.errors import described, nearest
from asleft.help import page, pages, titles, unmarked
from asleft.line.text import WIDTH, dumped, plain, say, say_all, wrapped


class UnknownPage(LookupError):
    """No help page of this name."""


def run(wanted: str, *, as_json: bool) -> None:
    """Print one page, or which there are where none is named. Raises UnknownPage."""
    if not wanted:
        if as_json:
            say(dumped({"pages": [{"name": name, "title": title} for name, title in titles().items()]}))
        else:
            say_all([f"  {name:18} {title}" for name, title in titles().items()])
            say_all(["", "asleft help NAME prints one of them, asleft COMMAND --help what a command takes."])
        return
    subject = wanted.strip().casefold()
    if subject not in pages():
        raise UnknownPage(f"no help page {described(wanted)}: expected {nearest(subject, [*titles()])}")
    if as_json:
        say(dumped({"name": subject, "title": titles()[subject], "markdown": page(subject)}))
        return
    say_all(_lines(subject))


def _lines(subject: str) -> list[str]:
    """Paragraphs apart, what is listed or shown as typed together, no line wider than a page."""
    lines: list[str] = []
    kind_before = ""
    for text, indent in unmarked(page(subject)):
        if not text:
            continue
        kind = "shown" if indent else "listed" if text.startswith("- ") else "told"
        if lines and (kind == "told" or kind != kind_before):
            lines.append("")
        hanging = "  " if kind == "listed" else ""
        first, *more = [indent + plain(text)] if indent else wrapped(text, width=WIDTH - 2).splitlines()
        lines += [first, *(hanging + line for line in more)]
        kind_before = kind
    return lines
