"""The plan: looks first, airflow before heat, codes keyed, power cycled once, everything read back."""

from __future__ import annotations

import pytest

from asleft.equipment.load import load_bytes
from asleft.sequence import Step, plan
from equipment.sample import SAMPLE
from support import Told, demo_unit


def _decided(kit: str = "cedar", **found: str) -> Told:
    told = Told(demo_unit())
    told.enter("identity.orientation", "downflow")
    told.enter("identity.kit", kit)
    told.found_all(**found)
    for topic in demo_unit().topic:
        told.event("chose", topic=topic.id, option=told.ledger.options(topic)[-1].id)
    return told


def _obey(told: Told, step: Step) -> None:
    if step.do == "power":
        told.event("powered", state=step.value)
        return
    code = demo_unit().code_of(step.setting, step.value)
    kind = {"look": "found", "write": "wrote", "read_back": "read_back"}[step.do]
    told.event(kind, setting=step.setting, address=step.address, shown=code.shown if code else step.value)


def test_before_anything_else_every_setting_is_looked_at() -> None:
    """An as-found record comes before any write."""
    steps = plan(Told(demo_unit()).ledger)
    assert [s.do for s in steps] == ["look"] * sum(1 for _ in demo_unit().places())


@pytest.mark.parametrize("kit", [k.id for k in demo_unit().heater])
def test_obeying_the_plan_ends_with_every_choice_in_force_and_read_back(kit: str) -> None:
    """Step by step until nothing is pending; no step is asked for twice."""
    told = _decided(kit)
    done: list[tuple[str, str, str]] = []
    while pending := [s for s in plan(told.ledger) if s.pending and s.ready]:
        step = pending[0]
        assert (step.do, step.place, step.value) not in done
        done.append((step.do, step.place, step.value))
        _obey(told, step)
    assert all(s.done for s in plan(told.ledger))
    for topic in demo_unit().topic:
        option, chosen = told.ledger.in_force(topic), told.ledger.chosen(topic)
        assert option is not None
        assert chosen is not None
        assert option.id == chosen.id
    reads = {(a.setting, a.address) for a in told.ledger.acts if a.kind == "read_back"}
    assert reads == {(s.id, a) for s, a in demo_unit().places()}


def test_what_is_right_already_is_not_written() -> None:
    """A value found as chosen costs no write."""
    told = _decided()
    written = {s.setting for s in plan(told.ledger) if s.do == "write"}
    for (setting, address), value in told.ledger.planned().items():
        assert (setting in written) == (told.ledger.shown(setting, address) != value)


def test_airflow_is_written_before_heat_is_allowed() -> None:
    """The tier's settings are the first writes."""
    writes = [s for s in plan(_decided().ledger) if s.do == "write"]
    tier = demo_unit().role("blower-tier")
    assert tier is not None
    settings = {id for o in tier.option for id in o.set}
    first_heat = next(i for i, s in enumerate(writes) if "enabling heat" in s.guards)
    assert all(i < first_heat for i, s in enumerate(writes) if s.setting in settings)


def test_turning_heat_off_is_not_guarded_and_turning_it_on_is() -> None:
    """Only a value that allows heat is the guarded act."""
    told = _decided()
    on = {s.setting: s for s in plan(told.ledger) if s.do == "write"}
    heat = demo_unit().role("auxiliary-heat")
    assert heat is not None
    carrier = next(id for o in heat.option if not o.value for id in o.set)
    assert "enabling heat" in on[carrier].guards
    other = _decided(bank_use="both")
    other.event("chose", topic=heat.id, option=next(o.id for o in heat.option if not o.value))
    off = {s.setting: s for s in plan(other.ledger) if s.do == "write"}
    assert off[carrier].guards == ()


def test_a_write_waits_for_the_setting_it_must_follow() -> None:
    """The second of a pair is not ready before the first is in."""
    told = _decided()
    steps = {s.setting: s for s in plan(told.ledger) if s.do == "write"}
    follower = next(s for s in demo_unit().setting if s.after and s.id in steps and s.after[0] in steps)
    assert not steps[follower.id].ready
    _obey(told, steps[follower.after[0]])
    assert {s.setting: s for s in plan(told.ledger) if s.do == "write"}[follower.id].ready


def test_a_wrong_read_back_is_written_once_more_and_then_given_up() -> None:
    """Two tries, then it is for a person to mend."""
    told = _decided()
    setting = next(s for s in plan(told.ledger) if s.do == "write")

    def now() -> Step:
        return next(s for s in plan(told.ledger) if s.do == "write" and s.place == setting.place)

    for tries_left in (1, 0):
        _obey(told, now())
        assert now().done
        wrong = next(v for v in demo_unit().setting_of(setting.setting).values if v != setting.value)  # type: ignore[union-attr]
        told.event("read_back", setting=setting.setting, address=setting.address, shown=wrong)
        assert now().pending == (tries_left == 1)
    assert now().failed
    told.event("noted", text="replaced", mends=f"SQ-3 setting.{setting.place}", affects=[])
    assert now().pending


def test_power_is_cycled_once_for_all_settings_that_need_it() -> None:
    """However many settings ask for it, off and on come once, after the last write."""
    steps = plan(_decided().ledger)
    power = [s for s in steps if s.do == "power"]
    assert [s.value for s in power] == ["off", "on"]
    assert (
        max(s.n for s in steps if s.do == "write")
        < power[0].n
        < min(s.n for s in steps if s.do == "read_back")
    )


def test_a_coded_setting_is_keyed_and_queried() -> None:
    """The step says which characters, and what the control will show."""
    told = _decided()
    coded = {c.setting for c in demo_unit().code}
    for step in plan(told.ledger):
        if step.setting in coded:
            assert step.code
            code = demo_unit().code_of(step.setting, step.value)
            if step.do == "write":
                assert code is not None
                assert step.code == code.keys
                assert code.write[0] in step.text
            elif step.do == "read_back":
                assert code is not None
                assert step.code == code.query
                assert code.shown in step.text


def _bank_in_the_dark() -> Told:
    """A unit whose bank is set with power off, its delay and its air with power on."""
    values = 'values = ["none", "one", "both"]'
    text = SAMPLE.replace(values, f'{values}\npower = "off"')
    told = Told(load_bytes(text.encode(), "dark.toml").equipment)
    told.enter("identity.kit", "K9")
    told.event("found", setting="air", address="unit", shown="1")
    told.event("found", setting="wait", address="wall", shown="at 10")
    return told


def test_nothing_is_written_before_all_is_looked_at_unless_power_cannot_be_switched() -> None:
    """What power hides for good keeps nothing else from being set."""
    told = _bank_in_the_dark()
    told.event("chose", topic="delay", option="long")
    assert [s.ready for s in plan(told.ledger) if s.do == "write"] == [False]
    told.event("noted", text="the disconnect is seized", refused="power")
    assert [s.ready for s in plan(told.ledger) if s.do == "write"] == [True]


def test_power_that_came_on_after_the_writes_is_not_asked_for_when_it_goes_off_again() -> None:
    """Whoever leaves the unit off for safety is not sent to switch it on for the plan's sake."""
    told = _bank_in_the_dark()
    told.event("found", setting="bank", address="unit", shown="none")
    told.event("chose", topic="auxiliary", option="both")
    told.event("powered", state="off")
    told.event("wrote", setting="bank", address="unit", shown="both")
    told.event("read_back", setting="bank", address="unit", shown="both")
    assert [s.value for s in plan(told.ledger) if s.do == "power" and s.pending] == ["on"]
    told.event("powered", state="on")
    told.event("powered", state="off")
    assert [s for s in plan(told.ledger) if s.do == "power" and s.pending] == []


def test_power_is_not_switched_for_ever_for_a_setting_that_was_given_up() -> None:
    """What would not take, or cannot be got at, asks for no power off, and keeps no power from coming on."""
    told = _bank_in_the_dark()
    told.event("found", setting="bank", address="unit", shown="none")
    told.event("chose", topic="auxiliary", option="both")

    def switching() -> list[str]:
        return [s.value for s in plan(told.ledger) if s.do == "power" and s.pending and s.ready]

    assert switching() == ["off"]
    told.event("powered", state="off")
    for _ in range(2):
        assert switching() == []
        told.event("wrote", setting="bank", address="unit", shown="one")
    assert switching() == ["on"]
    told.event("powered", state="on")
    assert switching() == []


def test_power_is_not_cycled_for_settings_that_were_never_written() -> None:
    """Nothing waits for a power cycle where none of it could be got at."""
    told = _decided()
    for step in plan(told.ledger):
        if step.do == "write":
            key = f"SQ-3 setting.{step.place}"
            told.event("noted", text="the flap is riveted shut", refused=key)
    assert not [s for s in plan(told.ledger) if s.do in ("power", "write") and s.pending]


def test_a_code_confirmed_elsewhere_says_how_to_get_there() -> None:
    """Every part in the step's words, then the other address's own procedure."""
    text = SAMPLE.replace('write = "W30"', 'write = ["W", "30"]\nconfirm = "ok"\nconfirm_at = "unit"')
    text += '\n[procedure.unit]\nreach = ["Open the flap."]\nleave = ["Close the flap."]\n'
    told = Told(load_bytes(text.encode(), "parts.toml").equipment)
    for setting, address, shown in (
        ("air", "unit", "1"),
        ("bank", "unit", "none"),
        ("wait", "wall", "at 10"),
    ):
        told.event("found", setting=setting, address=address, shown=shown)
    told.event("chose", topic="delay", option="long")
    (step,) = [s for s in plan(told.ledger) if s.do == "write"]
    assert "by keying W, then 30, and ok at Unit" in step.text
    assert step.how == ("Press the frame.", "Key it in.", "Open the flap.", "Close the flap.")
