"""The lines round the ledger, each a pure function of what is seen: job, panes, title, details, next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from asleft.face.rows import SHORT, TITLES, Row, counts, pane_state
from asleft.session.fields import PANES
from asleft.tui.safe import fit, plain, styled

if TYPE_CHECKING:
    from asleft.guide import Next
    from asleft.visit import View

ROOMY = 100
"""Columns from which the panes are numbered."""


def job_line(view: View, mode: str, saved: str, width: int) -> Content:
    """Which job this is; as found or as left; how far it is on disk."""
    unit = view.equipment.unit
    left = any(a.kind == "wrote" for a in view.state.acts)
    site = view.state.text("identity.site") or "new site"
    right = f"{'as left' if left else 'as found'} · {saved} "
    job = fit(f" asleft  {site} · {unit.maker} {unit.model} · {mode}", width - len(right))
    return styled(job + right, "bold")


def saved_word(view: View) -> str:
    """How far the session is on disk."""
    signature = view.state.signature
    return f"signed {signature.outcome}" if signature else f"saved {view.state.last_n}"


def pane_line(view: View, pane: str, width: int) -> Content:
    """Every pane and how it stands; the one shown is reversed."""
    parts = []
    for n, name in enumerate(PANES, 1):
        number = f"{n} " if width >= ROOMY else ""
        text = f" {number}{SHORT[name]} {pane_state(view, name)}" + (" " if width >= ROOMY else "")
        parts.append(styled(text, "reverse bold" if name == pane else ""))
    return Content("").join(parts)


def title_line(view: View, pane: str, width: int) -> Content:
    """The pane's title and what is open in the whole session."""
    open_ = counts(view)
    said = f"open: {open_['hold']} hold, {open_['correct']} correct; told: {open_['told']}"
    return styled(fit(f" {TITLES[pane]}   {said}", width))


def detail_lines(view: View, row: Row, *, wide: bool) -> list[str]:
    """What a row has to say beyond its line; a wide screen adds what was found about it."""
    lines = list(row.details)
    if wide:
        lines += [""] if lines else []
        for key in row.findings[:6]:
            finding = view.finding(key)
            if finding is not None and finding.text not in lines:
                lines.append(f"{finding.id}: {finding.verdict}. {finding.text}")
    return lines


def help_of(row: Row | None) -> str:
    """How to fill in a row, with its choices where they are few."""
    if row is None:
        return ""
    choices = f"  ({' | '.join(row.choices)})" if row.choices and len(row.choices) < 8 else ""
    return f"{row.help}{choices}"


def next_lines(following: Next, width: int) -> Content:
    """The one thing to do now with its act in brackets, and why."""
    act = f"[{_act_shown(following)}]"
    room = max(0, width - len(act) - 12)
    text = following.text if len(following.text) <= room else fit(following.text, room)
    first = styled(" next F2: ", "bold") + styled(f"{text} {act}", "bold")
    why = styled(fit(f"   why: {following.why}" if following.why else "", width))
    return Content("\n").join([first, why])


def _act_shown(following: Next) -> str:
    match following.do:
        case "sign":
            return f"sign: {following.outcome}"
        case "power":
            return f"power: {following.state}"
        case "nothing":
            return "nothing"
        case _:
            return plain(following.enter)
