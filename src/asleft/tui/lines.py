"""The lines round the ledger, each a pure function of what is seen: job, panes, rail, details, next."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content

from asleft.face.rows import SHORT, TITLES, Row, counts, pane_state, verdict_counts
from asleft.face.rows.findings import called, is_given_up, waivable
from asleft.session.acts import Refusable
from asleft.session.fields import PANES
from asleft.tui.keys import Action, footer, key_of
from asleft.tui.safe import fit, plain, styled
from asleft.tui.targets import Drawing

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.face.entries import Entries
    from asleft.guide import Next
    from asleft.visit import View

MOST_FINDINGS = 6
"""Findings of a row that a wide screen tells of; the page of its working has them all."""
ROOMY = 100
"""Columns from which the panes are numbered."""
_HEAD, _FAINT = "$text-muted italic", "$text-muted"
RAIL = 27
"""Columns of the rail."""


def job_line(view: View, mode: str, saved: str, width: int, clock: str = "") -> Content:
    """Which job this is; as found or as left; how far it is on disk."""
    unit = view.equipment.unit
    site = view.state.text("identity.site") or "new site"
    timed = f"clock {clock} · " if clock else ""
    right = f"{timed}{'as left' if view.ledger.leaves else 'as found'} · {saved} "
    room = width - len(right) - 1
    jobs = [f" asleft  {site} · {called} · {mode}" for called in (f"{unit.maker} {unit.model}", unit.model)]
    job = next((job for job in jobs if cell_len(plain(job)) <= room), jobs[-1])
    return styled(f"{fit(job, room)} {right}", "bold")


def saved_word(view: View) -> str:
    """How far the session is on disk."""
    signature = view.state.signature
    return f"signed {signature.outcome}" if signature else f"saved {view.state.last_n}"


def pane_drawing(view: View, pane: str, width: int) -> Drawing:
    """Every pane on one line and how it stands; the one shown is reversed."""
    drawing = Drawing()
    for n, name in enumerate(PANES, 1):
        number = f"{n} " if width >= ROOMY else ""
        text = f" {number}{SHORT[name]} {pane_state(view, name)}" + (" " if width >= ROOMY else "")
        drawing.add(text, "reverse bold" if name == pane else "", f"pane('{name}')")
    return drawing


def rail_drawing(view: View, pane: str, actions: Sequence[Action], height: int) -> Drawing:
    """The rail of a wide screen: panes, what is open, findings by verdict, instruments, more keys.

    Whole blocks, as many as there is room for; of the keys as many as fit.
    """
    drawing, lines = Drawing(), 0
    for block in _rail_blocks(view, pane, actions):
        keys = block[0].text == " More keys"
        room = height - lines - (2 if lines else 0)
        if len(block) > room and not (keys and room > 2):
            continue
        shown = (
            block
            if len(block) <= room
            else [*block[: room - 1], _Rail(f"   … {key_of(actions, 'help')}: all", action="help")]
        )
        if lines:
            drawing.line().line()
        for n, part in enumerate(shown):
            if n:
                drawing.line()
            drawing.add(part.text, part.style, part.action)
        lines += len(shown) + (1 if lines else 0)
    return drawing


@dataclass(frozen=True, slots=True)
class _Rail:
    """One line of the rail."""

    text: str
    style: str = ""
    action: str = ""


def _rail_blocks(view: View, pane: str, actions: Sequence[Action]) -> Iterator[list[_Rail]]:
    panes = [_Rail(" Panes", _HEAD)]
    for n, name in enumerate(PANES, 1):
        text = f" {n} {TITLES[name]}".ljust(RAIL - 6) + pane_state(view, name).rjust(4) + " "
        panes.append(_Rail(text, "reverse bold" if name == pane else "", f"pane('{name}')"))
    yield panes
    open_ = counts(view)
    yield [
        _Rail(" Open", _HEAD),
        *(
            _Rail(_counted(word, open_[word]), "bold" if open_[word] else _FAINT)
            for word in ("hold", "correct")
        ),
        _Rail(_counted("told, not binding", open_["told"]), "" if open_["told"] else _FAINT),
    ]
    findings = [_Rail(" Findings", _HEAD)]
    for word, number in verdict_counts(view).items():
        style = {"fail": "bold $error", "pass": "$success"}.get(word, "") if number else _FAINT
        findings.append(_Rail(_counted(word, number), style))
    yield findings
    held = {used.role: used.instrument for used in view.state.used}
    if held:
        yield [_Rail(" In hand", _HEAD), *(_Rail(fit(f"   {i}", RAIL - 1)) for i in held.values())]
    more = (a for a in actions if not a.footer and not a.moves)
    yield [
        _Rail(" More keys", _HEAD),
        *(_Rail(fit(f"   {a.shown:<7} {a.label}", RAIL - 1), "", a.id) for a in more),
    ]


def _counted(word: str, number: int) -> str:
    return f"   {word}".ljust(RAIL - 6) + str(number).rjust(4) + " "


def title_line(view: View, pane: str, width: int, *, rail: bool) -> Content:
    """The pane's title; what is open in the whole session where no rail says it."""
    if rail:
        return styled(fit(f" {TITLES[pane]}", width), "bold")
    open_, by_verdict = counts(view), verdict_counts(view)
    said = f"open: {open_['hold']} hold, {open_['correct']} correct; told: {open_['told']}"
    fails = by_verdict["fail"] + by_verdict["fail, near"]
    said += f"; fail {fails}, near {by_verdict['pass, near']}, pass {by_verdict['pass']}"
    return styled(fit(f" {TITLES[pane]}   {said}", width))


def detail_lines(view: View, row: Row, *, wide: bool, width: int) -> list[str]:
    """What a row has to say beyond its line; a wide screen adds what was found about it."""
    lines = list(row.details)
    if len(row.help) > width - 2 and row.help not in lines:
        lines.insert(0, row.help)
    if wide:
        lines += [""] if lines else []
        found = [f for key in row.findings if (f := view.finding(key)) is not None]
        for finding in sorted(found, key=lambda f: f.verdict == "not measured")[:MOST_FINDINGS]:
            line = f"{finding.id}: {_verdict(finding)}. {finding.text}"
            if finding.text not in lines and line not in lines:
                lines.append(line)
    return lines


def asked_why(view: View, row: Row, entries: Entries, key: str) -> str:
    """What the reason that is typed on a row does, and what the key would ask next; empty for no reason."""
    if row.act is None or not entries.is_reason(row.act):
        return ""
    names = [f.name for f in waivable(view, row)]
    waived = entries.waives(row.act)
    more = names[names.index(waived) + 1 :] if waived in names else names
    finding = view.finding(waived.key) if waived else None
    does = f"Why may {called(view, finding)}, stand? Enter waives it." if finding else ""
    if more:
        return f"{does or 'Why not? Enter notes it.'} {key} again: waive {more[0].key}."
    does = does or f"Why can {row.label} not be done? Enter notes it."
    held = [f.id for name in row.findings if (f := view.finding(name)) and f.open and f.severity == "hold"]
    return f"{does} {held[0]} is a hold: nobody can waive it." if held and not waived else does


def waive_hint(view: View, row: Row, key: str) -> str:
    """How a row's own open corrects are waived, once one failed or cannot be had; empty before."""
    ids = list(dict.fromkeys(f.id for f in waivable(view, row) if is_given_up(view, f)))
    if not ids:
        return ""
    keys = f"{key} twice" if isinstance(row.act, Refusable) else key
    return f"{', '.join(ids)} may be waived with a reason: {keys}."


def _verdict(finding: Finding) -> str:
    """The verdict, and how likely the limit is kept where it is conditional."""
    likely = finding.verdict.startswith("conditional") and finding.probability is not None
    return finding.verdict + (f", probability {finding.probability:.2f}" if likely else "")


def detail_drawing(row: Row | None, lines: Sequence[str], size: tuple[int, int], key: str) -> Drawing:
    """What a row has to say, its options to be clicked; what there is no room for is counted.

    `key` shows the rest.
    """
    drawing, (width, room) = Drawing(), size
    wrapped = [(part, line) for line in lines for part in _wrapped(line, width)]
    shown = wrapped if len(wrapped) <= room else wrapped[: max(0, room - 1)]
    for n, (part, line) in enumerate(shown):
        if n:
            drawing.line()
        at = _option_at(row, line)
        drawing.add(part, "", "" if at is None else f"answer({at})")
    if len(shown) < len(wrapped):
        drawing.line().add(f"… {len(wrapped) - len(shown)} more lines: {key}", "$text-muted", "working")
    return drawing


def _wrapped(line: str, width: int) -> list[str]:
    """A sentence on as many lines as it needs; a line of a table cut, with a sign that it is."""
    line = plain(line)
    if cell_len(line) <= width:
        return [line]
    if "  " in line.strip():
        return [fit(line, width)]
    return textwrap.wrap(line, max(1, width), break_on_hyphens=False) or [""]


def _option_at(row: Row | None, line: str) -> int | None:
    """The choice that a line of a row's details begins with: of several the longest."""
    begun = [n for n, c in enumerate(row.choices if row else ()) if line.startswith(f"{c} ") or line == c]
    return max(begun, key=lambda n: len(row.choices[n]) if row else 0, default=None)


def help_drawing(row: Row | None, width: int) -> Drawing:
    """How to fill in a row: its choices with the keys that name them, where they fit, then its help."""
    drawing = Drawing()
    if row is None:
        return drawing
    drawing.add(" ")
    keys = row.choice_keys
    parts = [f"{key} {choice}" if key else choice for key, choice in zip(keys, row.choices, strict=True)]
    room = width - 1
    if parts and sum(len(part) + 3 for part in parts) <= room:
        for n, part in enumerate(parts):
            drawing.add(part, "bold", f"answer({n})").add("   ")
            room -= len(part) + 3
    return drawing.add(fit(row.help, room) if len(row.help) > room else row.help)


def next_drawing(following: Next, width: int, key: str) -> Drawing:
    """The one thing to do now with its act in brackets, and why."""
    act = f"[{_act_shown(following)}]"
    head = f" next {key}: "
    room = max(0, width - len(act) - len(head) - 1)
    text = following.text if len(following.text) <= room else fit(following.text, room)
    why = fit(f"   why: {following.why}" if following.why else "", width)
    drawing = Drawing().add(head, "bold", "next").add(f"{text} {act}", "bold", "next")
    return drawing.line().add(why, "", "next")


def keys_drawing(width: int, actions: Sequence[Action]) -> Drawing:
    """The keys most wanted."""
    drawing = Drawing().add(" ")
    for text, action in footer(width - 2, actions):
        drawing.add(text, "", action).add("  ")
    return drawing


def card_lines(view: View, saved: str, size: tuple[int, int], least: tuple[int, int]) -> list[str]:
    """What still counts on a screen too small for the wizard: saved or not, what is next, how to go on."""
    following, (width, height) = view.next, size
    says = [
        saved,
        f"Next: {following.text}",
        f"Why: {following.why}" if following.why else "",
        f"Make the window {least[0]} by {least[1]} or larger to go on; here are {width} by {height}.",
    ]
    room = max(1, width - 2)
    lines = [line for text in says if text for line in textwrap.wrap(plain(text), room)]
    if len(lines) > height > 0:
        lines = [*lines[: height - 1], lines[height - 1][: max(0, room - 1)].rstrip() + "…"]
    return lines


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
