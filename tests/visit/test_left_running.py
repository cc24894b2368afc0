"""Nobody signs a unit as commissioned that does not run by itself as it was tried."""

from __future__ import annotations

from pathlib import Path

import pytest

from asleft.drill.rig import ask
from asleft.drill.technician import act
from asleft.session.acts import Enter, Sign
from asleft.unattended import Job
from asleft.visit import Refused
from played import begun_at
from support import prove_dead


@pytest.fixture(params=["tarnfield-lowmoor-36", "osmere-corrie-24"])
def job(request: pytest.FixtureRequest, tmp_path: Path) -> Job:
    """A healthy visit to which only the signature lacks."""
    return begun_at(tmp_path / "visit", "sign", 2, request.param)


def switch_off(job: Job) -> None:
    """At the unit, and in the record."""
    assert job.rig.ask({"do": "power", "state": "off"}) == {"done": True}
    job.visit.enter("power", "off")


def signed_in_the_end(job: Job) -> int:
    """Do what `next` says until the signature; how many acts it took before it."""
    for count in range(40):
        if isinstance(job.visit.view.next.act, Sign):
            assert job.visit.view.next.outcome == "commissioned"
            job.visit.submit(*act(job.visit.view, job.rig))
            job.visit.close()
            return count
        job.visit.submit(*act(job.visit.view, job.rig))
    raise AssertionError(f"never signed: {job.visit.view.next.text}")


def test_with_power_off_it_is_not_signed_and_next_says_how_it_is(job: Job) -> None:
    """All clear, power on, and then it is; the refusal says the same."""
    switch_off(job)
    with pytest.raises(Refused, match="SO-6") as refused:
        job.visit.enter("sign", "commissioned")
    assert "Power is off" in str(refused.value)
    assert signed_in_the_end(job) >= 1
    assert job.visit.view.state.power == "on"


def test_a_late_write_is_read_back_before_it_is_signed(job: Job) -> None:
    """The same value written once more is a write all the same."""
    wrote = next(a for a in reversed(job.visit.view.state.acts) if a.kind == "wrote")
    setting = job.visit.equipment.equipment.setting_of(wrote.setting)
    assert setting is not None
    if setting.power == "off":
        switch_off(job)
        prove_dead(job.visit)
        job.visit.enter("acknowledge:EL-1", "yes")
    job.visit.enter(f"wrote:{wrote.setting}@{wrote.address}", wrote.shown)
    with pytest.raises(Refused, match="SO-"):
        job.visit.enter("sign", "commissioned")
    assert signed_in_the_end(job) >= 1
    last = job.visit.view.ledger.acts_on(wrote.setting, wrote.address)[-1]
    assert last.kind == "read_back"


def test_a_write_taken_back_is_looked_at_before_it_is_signed(job: Job) -> None:
    """The record says that it was not so; what the control holds, only the control can say."""
    visit = job.visit
    tier = visit.equipment.equipment.role("blower-tier")
    assert tier is not None
    setting = visit.equipment.equipment.setting_of(next(iter(tier.option[0].set)))
    assert setting is not None
    place = f"{setting.id}@{setting.address[0]}"
    held = visit.view.ledger.shown(setting.id, setting.address[0])
    assert held is not None
    if setting.power == "off":
        visit.enter("power", "off")
        prove_dead(visit)
        visit.enter("acknowledge:EL-1", "yes")
    visit.enter(f"wrote:{place}", next(v for v in setting.values if v != held))
    n = visit.view.state.last_n
    visit.enter(f"retract:{n}", "not so")
    if setting.power == "off":
        for left, typed in (("acknowledge:EL-19", "yes"), ("power", "on")):
            visit.enter(left, typed)
    with pytest.raises(Refused, match="taken back, and nobody has looked since"):
        visit.enter("sign", "commissioned")
    assert signed_in_the_end(job) >= 1
    last = visit.view.ledger.acts_on(setting.id, setting.address[0])[-1]
    assert (last.kind, last.shown) in {("found", held), ("read_back", held)}
    assert last.n > n


def test_a_jumper_once_left_in_is_asked_about_again_after_more_was_tried(job: Job) -> None:
    """That the answer is out of date does not take the jumper out."""
    job.visit.enter("signoff.cleared", "no")
    job.visit.enter("waive:SQ-5/unit", "the owner wants it so")
    visit = job.visit
    visit.submit(*_read(job, "blower.static.supply"))
    with pytest.raises(Refused, match="SO-6") as refused:
        visit.enter("sign", "commissioned")
    assert "nobody has said since" in str(refused.value)
    while visit.view.next.enter != "signoff.cleared":
        visit.submit(*act(visit.view, job.rig))
    assert signed_in_the_end(job) >= 1


def _read(job: Job, field: str) -> tuple[Enter, str]:
    """What the unit shows in a field."""
    return Enter(field), ask(job.rig, job.visit.view, Enter(field)).typed


def test_a_jumper_left_in_is_no_running_unit_whatever_is_waived(job: Job) -> None:
    """A correct may be waived; that nothing forces the unit may not."""
    job.visit.enter("signoff.cleared", "no")
    job.visit.enter("waive:SQ-5/unit", "the owner wants it so")
    with pytest.raises(Refused, match="SO-6") as refused:
        job.visit.enter("sign", "commissioned")
    assert "still stands" in str(refused.value)
    assert job.visit.view.next.state == "off"
    job.visit.close()
