"""As found beside as left: fields, choices and settings, as the record has them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple, assert_never

from asleft.quantity import show
from asleft.review.report.given import Entered
from asleft.review.report.words import WORST
from asleft.session.fields import field_of
from asleft.session.values import Amount, Count, Picked, Size, Words, YesNo

if TYPE_CHECKING:
    from asleft.session.state import Entry, SettingAct
    from asleft.visit import View

_FIGURE = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)([^0-9.,;].*)?", re.ASCII)
NO_LONGER = "Entered, but not asked for any more"
SIGNS = {
    "pass": "pass",
    "conditional pass": "pass, near",
    "conditional fail": "FAIL, near",
    "fail": "FAIL",
    "not measured": "not measured",
    "not applicable": "not applicable",
}
"""Verdicts as a page writes them."""


class Shown(NamedTuple):
    """An entry as read, as it was typed where that says something else, and the time that it brought."""

    value: str = ""
    typed: str = ""
    read_at: str = ""


class Line(NamedTuple):
    """One field: as found beside as left. `group` is said where it begins."""

    group: str
    label: str
    found: Shown
    left: Shown
    verdict: str


class Pane(NamedTuple):
    """The fields of one pane."""

    title: str
    lines: tuple[Line, ...]


class Chosen(NamedTuple):
    """One question decided: what the control held when it was found, what was chosen, what it holds."""

    label: str
    found: str
    chosen: str
    left: str


class Place(NamedTuple):
    """One setting at one address through the visit."""

    address: str
    label: str
    found: str
    meant: str
    wrote: str
    back: str
    verdict: str


class Tool(NamedTuple):
    """One instrument that was used."""

    role: str
    name: str
    accuracy: str
    until: str


def panes(view: View, entered: tuple[Entered, ...], system: str) -> Iterator[Pane]:
    """Every field that was entered, pane by pane in the order of the ledger."""
    titles = tuple(dict.fromkeys(line.pane for line in entered))
    told = {line.field for line in entered}
    for title in titles:
        lines: list[Line] = []
        group = ""
        for line in entered:
            if line.pane != title:
                continue
            group = line.group or group
            if view.state.entries.get(line.field):
                begins = "" if any(one.group == group for one in lines) else group
                lines.append(_line(view, line._replace(group=begins), system))
        if lines:
            yield Pane(title, tuple(lines))
    rest = [id for id, entries in view.state.entries.items() if entries and id not in told]
    if rest:
        yield Pane(NO_LONGER, tuple(_line(view, Entered("", "", id, id, ""), system) for id in rest))


def _line(view: View, line: Entered, system: str) -> Line:
    found, left = view.ledger.as_found(line.field), view.ledger.as_left(line.field)
    return Line(
        line.group,
        line.label,
        _shown(line.field, found, system),
        _shown(line.field, left, system),
        line.verdict,
    )


def _shown(id: str, entry: Entry | None, system: str) -> Shown:
    if entry is None:
        return Shown()
    field = field_of(id)
    match entry.value:
        case YesNo():
            return Shown(str(entry.value))
        case Amount(number, _) if field is not None:
            value = show(number, field.kind, system)
        case Words() | Picked() | Size() | Count() | Amount():
            value = str(entry.value)
        case _:
            assert_never(entry.value)
    return Shown(value, "" if _same(value, entry.typed) else entry.typed, entry.read_at)


def _same(shown: str, typed: str) -> bool:
    """Whether two texts say the same: letters apart from case and room, figures by what they are worth."""
    one, other = ("".join(text.split()).casefold() for text in (shown, typed))
    if one == other:
        return True
    found = _FIGURE.fullmatch(one), _FIGURE.fullmatch(other)
    return all(found) and len({(float(f[1]), f[2]) for f in found if f}) == 1


def choices(view: View) -> Iterator[Chosen]:
    """Every topic that was decided, or that the control was seen to hold an answer to."""
    ledger = view.ledger
    for topic in view.equipment.topic:
        found, chosen, left = ledger.found_option(topic), ledger.chosen(topic), ledger.left_option(topic)
        if found or chosen or left:
            yield Chosen(topic.label, *(option.label if option else "" for option in (found, chosen, left)))


def settings(view: View) -> Iterator[Place]:
    """Every setting at every address, in the order in which a person walks them."""
    labels = {address.id: address.label for address in view.equipment.address}
    meant = view.ledger.planned()
    for setting, address in view.equipment.by_address():
        acts, found = view.ledger.acts_on(setting.id, address), view.ledger.found_at(setting.id, address)
        yield Place(
            labels.get(address, address),
            setting.label,
            found.shown if found else "",
            meant.get((setting.id, address), ""),
            _values(acts, "wrote"),
            _values(acts, "read_back"),
            _verdict(view, f"setting.{setting.id}@{address}") if acts else "",
        )


def _values(acts: tuple[SettingAct, ...], kind: str) -> str:
    return ", then ".join(act.shown for act in acts if act.kind == kind)


def _verdict(view: View, subject: str) -> str:
    """The worst verdict about a setting."""
    judged = [f.verdict for f in view.findings if f.subject == subject and f.verdict != "not applicable"]
    return SIGNS[min(judged, key=WORST.index)] if judged else ""


def tools(view: View) -> Iterator[Tool]:
    """Every instrument that was used, each once."""
    for used in {(u.role, u.name): u for u in view.state.used}.values():
        accuracy = "; ".join(used.accuracy).replace("_", " ") or "accuracy not known"
        yield Tool(used.role, used.name, accuracy, used.calibrated_until or "not said")
