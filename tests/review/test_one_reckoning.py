"""As found and as left are reckoned once: panes, text wizard, report and check say the same."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from asleft.equipment.library import find
from asleft.equipment.model import Topic
from asleft.face.rows import AHEAD, TITLES, Row, rows
from asleft.line.check_page import as_text
from asleft.line.dialog.listing import listed
from asleft.line.dialog.question import lines_of, question
from asleft.line.reading import Read, read_session
from asleft.review.report.entered import choices, panes
from asleft.review.report.given import Entered
from asleft.session.events import Event
from asleft.session.payloads import SettingDone
from asleft.session.state import fold_all
from asleft.unattended import play
from asleft.visit.view import View, look

UNITS = ("tarnfield-lowmoor-36", "garthwold-ousel-42", "osmere-corrie-24")
TOLD = {"chose", "found", "wrote", "read_back", "signed"}
"""Events after which a choice may stand otherwise."""


@cache
def _played(unit: str) -> Read:
    with TemporaryDirectory() as folder:
        return read_session(play(Path(folder), find(unit), 5).path, "ip")


@cache
def _cuts(unit: str) -> tuple[View, ...]:
    """The visit as it stood after some events: every sixth that may tell on a choice, and the last."""
    read = _played(unit)
    assert read.view is not None
    events = read.view.state.history
    told = [n for n, event in enumerate(events, 1) if event.kind in TOLD]
    first = next(n for n, event in enumerate(events, 1) if event.kind == "wrote")
    at = {*told[::6], first - 1, first, len(events) - 1, len(events)}
    return tuple(look(read.view.equipment, fold_all(events[:n])) for n in sorted(at))


def _row(view: View, topic: Topic) -> tuple[str, Row]:
    for pane in TITLES:
        for row in rows(view, pane, "ip"):
            if row.left == f"choose:{topic.id}":
                return pane, row
    raise AssertionError(topic.id)


def _held(view: View, topic: Topic, events: tuple[Event, ...]) -> str:
    """The option that what the control showed last in these events makes, told by the events alone."""
    shown: dict[tuple[str, str], str] = {}
    for event in events:
        what = event.what
        if isinstance(what, SettingDone):
            shown[what.setting, what.address] = view.equipment.value_of(what.setting, what.shown)
    for option in view.ledger.options(topic):
        held = {shown.get((s.id, at)) == option.set[s.id] for s, at in _places(view, option.set)}
        if held == {True}:
            return option.label
    return ""


def _places(view: View, ids: object) -> Iterator[tuple[object, str]]:
    return ((s, at) for s, at in view.equipment.places() if s.id in ids)  # type: ignore[operator]


def _said(text: str, word: str) -> str:
    """What stands behind a word of a line that is read aloud; empty where the word is not there."""
    found = re.search(rf"(?:^|; ){word}:? (.*?)(?:\.?$|;)", text)
    return found[1] if found else ""


def _columns(text: str) -> tuple[str, str]:
    both = _said(text, "as found and as left")
    return (both, both) if both else (_said(text, "as found"), _said(text, "as left"))


@pytest.mark.parametrize("unit", UNITS)
def test_every_face_says_the_same_option_as_found_and_as_left(unit: str) -> None:
    """At every cut of a whole visit, and what the events alone say; nothing is left before a first change."""
    read, differ = _played(unit), 0
    for view in _cuts(unit):
        history = view.state.history
        first = next((n for n, event in enumerate(history) if event.kind == "wrote"), len(history))
        page = " ".join(" ".join(as_text(Read(read.path, read.contents, view), "ip")).split())
        report = {line.label: line for line in choices(view)}
        for topic in view.equipment.topic:
            pane, row = _row(view, topic)
            chosen = view.ledger.chosen(topic)
            found, held = _held(view, topic, history[:first]), _held(view, topic, history)
            kept = chosen is not None and chosen.label == held
            left = held if kept or first < len(history) or view.state.signature else ""
            assert row.found == found, (topic.id, view.state.last_n)
            if chosen is None or chosen.label == left:
                assert row.now == left, (topic.id, view.state.last_n)
            else:
                assert row.now == f"{AHEAD}{chosen.label}"
            line = next(iter(listed([row], pane))).partition(": ")[2]
            asked = question(view, row, pane, {}, is_next=False)
            aloud = next((t for t, _ in lines_of(view, asked, {}, "ip", caution=False) if t[:3] == "As "), "")
            shown = (found, left) if not row.now.startswith(AHEAD) else (found, "")
            assert _columns(line) == shown
            assert _columns(aloud[:1].lower() + aloud[1:]) == (shown if found else ("", ""))
            told = report.get(topic.label)
            assert (told.found, told.left) == (found, left) if told else not (found or left)
            checked = re.findall(rf"{re.escape(topic.label)}: (as .*?)\.(?: |$)", page)
            assert [_columns(words) for words in checked] == ([(found, left)] if found or left else [])
            differ += bool(found and left and found != left)
    assert differ, "the visit changes nothing, so it proves nothing"


@pytest.mark.parametrize("unit", UNITS)
def test_every_face_says_the_same_of_every_field(unit: str) -> None:
    """Panes and report, at every cut; the column of what is left is empty until something changed."""
    for view in _cuts(unit):
        ids = [id for id, field in view.ledger.fields.items() if field.kind != "instrument"]
        told = {
            line.label: (line.found.value, line.left.value)
            for one in panes(view, tuple(Entered("p", "", id, id, "") for id in ids), "ip")
            for line in one.lines
        }
        shown = {r.left: r for pane in TITLES for r in rows(view, pane, "ip") if r.left in ids}
        for id, row in shown.items():
            assert told.get(id, ("", "")) == (row.found, row.now), id
            if not view.ledger.leaves and not id.startswith("signoff.") and not view.ledger.changes(id):
                assert not row.now, id
            if row.done and not id.startswith("signoff.") and not view.ledger.fields[id].passing:
                assert row.found or row.now, id
