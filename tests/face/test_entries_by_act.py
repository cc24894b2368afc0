"""A rig's refusal: the reason why an act cannot be done, where that can be noted of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from asleft.drill.rig import Answer
from asleft.equipment.library import find
from asleft.face.drafts import Drafts
from asleft.face.entries import Entries
from asleft.session.acts import (
    Act,
    Choose,
    Enter,
    FindingName,
    Hint,
    Look,
    Mend,
    ReadBack,
    SwitchPower,
    Write,
)
from asleft.tui.keys import ACTIONS, words
from asleft.unattended import begin
from played import UNIT


@pytest.fixture
def entries(tmp_path: Path) -> Iterator[Entries]:
    """Nothing typed yet."""
    job = begin(tmp_path, find(UNIT), 3)
    yield Entries(job.visit, Drafts(None), words(ACTIONS))
    job.close()


def test_a_refusal_is_the_reason_where_one_can_be_noted(entries: Entries) -> None:
    """A field that cannot be reached: Enter notes it, and what was typed before comes back without it."""
    act = Enter("electrical.ground.resistance")
    entries.type(act, "0.2")
    assert entries.answer(act, Answer(refused="no reach")).text.endswith(
        "Enter notes that it cannot be done."
    )
    assert (entries.is_reason(act), entries.of(act)) == (True, "no reach")
    entries.reason(act)
    assert (entries.is_reason(act), entries.of(act)) == (False, "0.2")


def test_what_nobody_notes_as_impossible_gets_no_reason(entries: Entries) -> None:
    """A hint that the rig does not give is told, and Enter notes nothing."""
    said = entries.answer(Hint(1), Answer(refused="there is none"))
    assert (said.text, said.bad) == ("Rig: refused, there is none.", True)
    assert (entries.is_reason(Hint(1)), entries.of(Hint(1))) == (False, "")


@pytest.mark.parametrize(
    ("act", "done"),
    [
        (SwitchPower(), True),
        (Write("row-gap", "unit"), True),
        (Mend(FindingName("EL-23", "stage.1")), True),
        (Look("row-gap", "unit"), False),
        (ReadBack("row-gap", "unit"), False),
        (Enter("identity.site"), False),
        (Choose("tier"), False),
    ],
    ids=str,
)
def test_what_a_rig_has_done_is_done_until_it_is_recorded(entries: Entries, act: Act, done: bool) -> None:
    """Switched, written or repaired it stays so whatever is typed; a look changes nothing."""
    entries.answer(act, Answer("off"))
    assert (entries.done_by_rig(act), entries.of(act)) == (done, "off")
    entries.empty(act)
    assert (entries.done_by_rig(act), entries.of(act)) == (False, "")
