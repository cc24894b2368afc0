"""A unit whose codes are keyed in parts and confirmed elsewhere, and one kit of which stands one way only."""

from __future__ import annotations

from functools import cache

from asleft.equipment.library import find
from asleft.equipment.model import Equipment
from checks.visits import judged
from installation.units import Job

ID = "marrowby-linnet-30"


@cache
def unit() -> Equipment:
    """The unit."""
    return find(ID).equipment


def fitted(kit: str, orientation: str) -> Job:
    """A visit that has found a kit in a unit that stands so."""
    job = Job(unit())
    job.enter("identity.supply", "240-1")
    job.enter("identity.kit", kit)
    job.enter("identity.orientation", orientation)
    return job


def test_a_kit_for_one_orientation_is_held_in_every_other() -> None:
    """The tall kit upright passes ID-3; lying it keeps heat locked, and no option would switch it on."""
    assert judged(fitted("ladder", "upflow"))["ID-3 unit"].verdict == "pass"
    lying = judged(fitted("ladder", "lying-left"))["ID-3 unit"]
    assert lying.verdict == "fail"
    assert "enabling heat" in lying.guards
    assert judged(fitted("cradle", "lying-left"))["ID-3 unit"].verdict == "pass"


def test_a_word_is_keyed_part_by_part_and_confirmed_at_another_address() -> None:
    """Three parts at the wall key, the last one at the board; then it is asked for where it lives."""
    word = unit().code_of("patience-word", "17")
    assert word is not None
    assert word.keyed("wall") == (("wall", "ooo"), ("wall", "u2"), ("wall", "54"), ("board", "aye-14"))
    thaw = unit().code_of("thaw-word", "warmth")
    assert thaw is not None
    assert [at for at, _ in thaw.keyed("frost")] == ["frost", "frost", "frost", "wall"]
    waking = unit().code_of("waking-word", "hold")
    assert waking is not None
    assert waking.keyed("wall") == (("wall", "aaa8"), ("wall", "aye"))


def test_what_has_to_come_first_may_live_at_another_address() -> None:
    """Leave for coils follows the plug beside it and a word at the wall key."""
    setting = unit().setting_of("coil-leave")
    assert setting is not None
    assert {(earlier.id, at) for earlier, at in unit().before(setting, "board")} == {
        ("coil-plug", "board"),
        ("mild-word", "wall"),
    }
