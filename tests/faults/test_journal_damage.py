"""A damaged session is told for what it is and where, and all before the damage can be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from asleft.journal import Chain, Contents, NotASession, classify
from faults import journal_attack
from faults.journal_attack import SAMPLES
from faults.journal_damage import (
    Look,
    Seen,
    cut_short,
    flip_bits,
    harm,
    small_session,
    to_an_event,
    to_the_end,
    to_the_header,
)
from faults.journal_faults import quick_folder
from played import blocks

SMALL, STRANGE = small_session(), small_session("Bo")
PARTS, STRANGE_PARTS = blocks(SMALL), blocks(STRANGE)
WHOLE = classify(SMALL)


def sound(seen: Seen, least: int) -> None:
    """Nothing unseen, nothing told elsewhere, and enough was tried."""
    assert seen.unseen == []
    assert seen.misplaced == []
    assert seen.tried >= least


def test_every_flipped_bit_is_told_in_the_event_that_holds_it() -> None:
    sound(flip_bits(SMALL, range(8 * len(SMALL))), 8 * len(SMALL))


def test_every_truncation_is_told_with_the_line_where_the_last_entry_begins() -> None:
    sound(cut_short(SMALL, range(len(SMALL))), len(SMALL))


@pytest.mark.parametrize("number", range(1, len(PARTS)))
def test_whatever_is_done_to_an_event_is_told_there(number: int) -> None:
    """Edited, doubled, dropped, swapped, moved, CRLF, another session's, a key added; linked anew or not."""
    with quick_folder() as folder:
        sound(harm(SMALL, to_an_event(PARTS, STRANGE_PARTS, number), Path(folder)), 15)


def test_whatever_is_done_to_the_header_is_told_there() -> None:
    """Edited, another session's, a newer format, CRLF, a byte-order mark."""
    with quick_folder() as folder:
        sound(harm(SMALL, to_the_header(PARTS, STRANGE_PARTS), Path(folder)), 20)


def test_whatever_is_done_to_the_end_is_told_there() -> None:
    """Bytes added, another session added, and every length of zeroed tail."""
    with quick_folder() as folder:
        sound(
            harm(SMALL, to_the_end(PARTS, STRANGE_PARTS, range(1, len(SMALL) + 1)), Path(folder)), len(SMALL)
        )


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.toml")), ids=lambda path: path.name[:10])
def test_a_sample_of_the_same_on_a_whole_visit(path: Path) -> None:
    data, random = path.read_bytes(), Random(path.name)
    parts = blocks(data)
    number = random.randrange(1, len(parts))
    damages = [
        *random.sample(list(to_the_header(parts, PARTS)), 40),
        *to_an_event(parts, PARTS, number),
        *to_the_end(parts, PARTS, random.sample(range(1, len(data)), 20)),
    ]
    sound(flip_bits(data, random.sample(range(8 * len(data)), 100)), 100)
    sound(cut_short(data, random.sample(range(len(data)), 50)), 50)
    with quick_folder() as folder:
        sound(harm(data, damages, Path(folder)), 90)


# ---- readers that must be caught ----------------------------------------------------------------------


def gullible(_: bytes) -> Contents:
    """Take anything for what was written."""
    return WHOLE


def forgetful(data: bytes) -> Contents:
    """See that something is wrong, and give back one event too few, or one damaged one too many."""
    return replace(classify(data), events=WHOLE.events[:3])


def vague(data: bytes) -> Contents:
    """See that something is wrong, and point to the first line."""
    contents = classify(data)
    return contents if contents.chain is Chain.WHOLE else replace(contents, trouble="Line 1 is not right.")


@pytest.mark.parametrize(("look", "unseen"), [(gullible, True), (forgetful, True), (vague, False)])
@pytest.mark.parametrize(
    "attack",
    [
        lambda look, _: flip_bits(SMALL, [8 * place for place in range(40, len(SMALL), 40)], look),
        lambda look, _: cut_short(SMALL, range(40, len(SMALL), 41), look),
        lambda look, folder: harm(SMALL, to_an_event(PARTS, STRANGE_PARTS, 2), folder, look),
    ],
    ids=["bits", "truncations", "by name"],
)
def test_a_reader_that_sees_too_little_is_caught(
    tmp_path: Path, attack: Callable[[Look, Path], Seen], look: Look, unseen: bool
) -> None:
    seen = attack(look, tmp_path)
    assert len(seen.unseen if unseen else seen.misplaced) > seen.tried / 2


def test_a_reader_that_disowns_a_damaged_session_is_caught() -> None:
    def disown(_: bytes) -> Contents:
        raise NotASession("What is this?")

    assert len(flip_bits(SMALL, range(300, 310), disown).unseen) == 10


@pytest.mark.parametrize("wrong", [[], ["an entry is lost"]])
def test_the_whole_attack_is_1_where_anything_is_wrong(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], wrong: list[str]
) -> None:
    for attack in ("faults", "power", "kills", "damage"):
        found = [(f"{attack} tried", wrong if attack == "kills" else [])]
        monkeypatch.setattr(journal_attack, attack, lambda *_, found=found: iter(found))
    assert journal_attack.main([]) == len(wrong)
    lines = capsys.readouterr().out.splitlines()
    assert lines[:2] == ["faults tried", "power tried"]
    assert ("    WRONG an entry is lost" in lines) is bool(wrong)
    assert lines[-1] == ("1 wrong." if wrong else "Nothing is wrong.")
