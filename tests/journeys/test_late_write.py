"""A setting written late: what must follow it, or is reset by it, is seen or written again before signing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from asleft.drill.rig import BuiltIn, Rig, ask, resume
from asleft.drill.technician import act, headless
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find
from asleft.equipment.load import load_bytes
from asleft.equipment.model import EquipmentFile
from asleft.session.acts import Choose, Look, ReadBack, Write
from asleft.visit import Refused, Visit
from played import UNIT, begun_at, place_of

RESETS = 'id = "trail"\nresets = ["air-letter"]\n'
SEED = 2


def _silent() -> EquipmentFile:
    """The demo unit, whose file says only that the step comes after the band."""
    return find(UNIT)


def _said() -> EquipmentFile:
    """The same unit, whose file says that a write of the band resets the step."""
    text = find(UNIT).text
    assert text.count('id = "trail"\n') == 1
    return load_bytes(text.replace('id = "trail"\n', RESETS).encode(), "said.toml")


def _keeping() -> VirtualUnit:
    """A control in which a write of the band leaves the step alone."""
    return VirtualUnit(_silent().equipment, place_of(SEED), SEED)


def _clearing() -> VirtualUnit:
    """A control in which a write of the band puts the step back to its factory value."""
    return VirtualUnit(_said().equipment, place_of(SEED), SEED)


@contextmanager
def _before_signing(
    folder: Path, equipment: EquipmentFile, virtual: VirtualUnit
) -> Iterator[tuple[Visit, Rig]]:
    """A visit in which nothing is left but to sign as commissioned."""
    rig = BuiltIn(virtual)
    job = begun_at(folder, "sign", SEED, file=equipment, rig=rig)
    try:
        while job.visit.view.next.do != "sign":
            job.visit.submit(*act(job.visit.view, rig))
        assert job.visit.view.next.outcome == "commissioned"
        yield job.visit, rig
    finally:
        job.close()


def _do(visit: Visit, rig: Rig, what: Look | Write | ReadBack) -> None:
    answer = ask(rig, visit.view, what)
    assert not answer.refused
    visit.submit(what, answer.typed)


def _as_recorded(visit: Visit, virtual: VirtualUnit) -> bool:
    return all(visit.view.ledger.shown(*place) == value for place, value in virtual.settings.items())


@pytest.mark.parametrize("file", [_silent, _said])
@pytest.mark.parametrize("unit", [_keeping, _clearing])
def test_nothing_is_signed_until_what_follows_was_seen(
    file: Callable[[], EquipmentFile], unit: Callable[[], VirtualUnit], tmp_path: Path
) -> None:
    """Whatever the file says and the control does, the record and the control are the same when signed."""
    virtual = unit()
    with _before_signing(tmp_path, file(), virtual) as (visit, rig):
        assert _as_recorded(visit, virtual)
        _do(visit, rig, Write("trail", "unit"))
        third = visit.view.finding("SQ-3 setting.air-letter@unit")
        assert third is not None
        assert third.verdict == "not measured"
        with pytest.raises(Refused):
            visit.enter("sign", "commissioned")
        asked = []
        while visit.view.next.do != "sign":
            asked.append(visit.view.next.enter)
            visit.submit(*act(visit.view, rig))
        assert "read_back:air-letter@unit" in asked
        assert not [left for left in asked if left.startswith("mended:")]
        headless(visit, rig)
        assert visit.view.state.signature
        assert visit.view.state.signature.outcome == "commissioned"
        assert _as_recorded(visit, virtual)


def test_what_the_file_says_is_reset_is_written_again_at_once(tmp_path: Path) -> None:
    """Nobody has to look first: the file says what the control holds now."""
    virtual = _clearing()
    with _before_signing(tmp_path, _said(), virtual) as (visit, rig):
        meant = visit.view.ledger.planned()["air-letter", "unit"]
        _do(visit, rig, Write("trail", "unit"))
        assert virtual.settings["air-letter", "unit"] != meant
        assert (visit.view.next.enter, visit.view.next.value) == ("wrote:air-letter@unit", meant)


def test_a_follower_that_needed_no_writing_is_written_again_and_not_mended(tmp_path: Path) -> None:
    """Found right and cleared by a write: what changed it is known, and nobody has to find it out."""
    virtual = _clearing()
    with _before_signing(tmp_path, _silent(), virtual) as (visit, rig):
        found = visit.view.ledger.found_at("air-letter", "unit")
        assert found is not None
        for event in visit.view.state.history:
            keys = event.written()
            if event.kind in ("wrote", "read_back") and keys["setting"] == "air-letter":
                visit.enter(f"retract:{event.n}", "as if it had needed no writing")
        tier = visit.view.equipment.role("blower-tier")
        assert tier is not None
        option = next(o for o in visit.view.ledger.options(tier) if o.set["air-letter"] == found.shown)
        visit.submit(Choose(tier.id), option.id)
        _do(visit, rig, Write("trail", "unit"))
        virtual.answer({"do": "write", "setting": "air-letter", "address": "unit", "value": "a"})
        _do(visit, rig, ReadBack("air-letter", "unit"))
        fourth = visit.view.finding("SQ-4 setting.air-letter@unit")
        assert fourth is not None
        assert fourth.failed
        assert not fourth.mendable
        assert (visit.view.next.enter, visit.view.next.value) == ("wrote:air-letter@unit", found.shown)


def test_a_unit_gone_back_to_still_holds_what_a_write_reset(tmp_path: Path) -> None:
    """A rig that is told how the unit was left is told of the reset, not of what was seen before it."""
    with _before_signing(tmp_path, _said(), _clearing()) as (visit, rig):
        _do(visit, rig, Write("trail", "unit"))
        again = _clearing()
        resume(BuiltIn(again), visit.view)
        assert again.settings["air-letter", "unit"] == "c"


@pytest.mark.parametrize("unit", [UNIT, "garthwold-ousel-42", "marrowby-linnet-30", "brinmere-staithe-60"])
def test_a_first_pass_in_order_looks_at_nothing_written_twice(unit: str, tmp_path: Path) -> None:
    """What is written and read back after what it must follow is sure."""
    job = begun_at(tmp_path, "sign", SEED, unit)
    try:
        view = headless(job.visit, job.rig)
    finally:
        job.close()
    wrote = [(a.setting, a.address) for a in view.state.acts if a.kind == "wrote"]
    backs = [(a.setting, a.address) for a in view.state.acts if a.kind == "read_back"]
    assert [place for place in wrote if wrote.count(place) > 1 or backs.count(place) > 1] == []
