"""The report as twenty lines for a message."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from asleft.review.report.words import counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from asleft.review.report.judged import Judged
    from asleft.review.report.page import Page

LINES, WIDTH = 20, 100
_MOST = {"findings": 6, "settings": 5, "waivers": 2}
"""Lines of each that are told one by one."""
_FACTS = ("Unit", "Serial number", "Technician", "Last entry", "Record", "Signed", "Sealed")


def as_text(page: Page) -> list[str]:
    """At most twenty lines of at most a hundred characters, what matters most first."""
    lines = [line for told in _lines(page) for line in _broken(page.safe(told))]
    digest = dict(page.chain)["SHA-256 of the file"]
    if len(lines) >= LINES:
        lines = [*lines[: LINES - 2], "There is more in the report."]
    return [*lines, f"SHA-256 of the record: {digest}"]


def _lines(page: Page) -> Iterator[str]:
    yield f"Report of a visit: {page.title}"
    yield from page.notices
    if page.outcome:
        yield page.outcome
    if not page.job:
        return
    job = dict(page.job)
    yield "; ".join(f"{name.lower()} {job[name]}" for name in _FACTS[1:4] if name in job)
    yield "; ".join(f"{name.lower()}: {job[name]}" for name in _FACTS[4:] if name in job)
    yield from _findings(page.findings)
    changed = [p for p in page.settings if p.wrote and p.back != p.found]
    for place in changed[: _MOST["settings"]]:
        found, left = place.found or "not seen", place.back or "not read back"
        yield f"Set: {place.label}, {place.address}: found {found}, left {left}"
    if len(changed) > _MOST["settings"]:
        yield f"and {counted(len(changed) - _MOST['settings'], 'setting')} more changed"
    for waiver in page.waivers[: _MOST["waivers"]]:
        yield f"Waived: {waiver.label}: {waiver.why}"
    if page.breaches:
        yield f"Breaches: {', '.join(dict.fromkeys(b.hold for b in page.breaches))}"


def _findings(findings: tuple[Judged, ...]) -> Iterator[str]:
    words = ("FAIL", "FAIL, near", "not measured", "pass, near", "pass")
    counts = {word: sum(f.verdict.removesuffix(", waived") == word for f in findings) for word in words}
    yield "Findings: " + ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    bad = [f for f in findings if f.verdict.startswith("FAIL")]
    for found in bad[: _MOST["findings"]]:
        yield f"{found.verdict}: {found.label}: {found.text}"
    if len(bad) > _MOST["findings"]:
        yield f"and {len(bad) - _MOST['findings']} more that failed"


def _broken(told: str) -> list[str]:
    """A sentence in two lines at most, with a sign where it was longer."""
    return wrap(told, WIDTH, subsequent_indent="  ", break_on_hyphens=False, max_lines=2, placeholder=" …")
