"""What each act asks of a rig, and what its answer is typed as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import pytest

from asleft.drill.rig import Answer, BuiltIn, RigError, ask, requests_of, resume
from asleft.session.acts import Enter, FindingName, Mend, SwitchPower, Write, parse
from support import Told, demo_unit


@dataclass
class Parrot:
    """A rig that gives one answer and remembers what it was asked."""

    answer_given: dict[str, Any]
    asked: list[dict[str, Any]] = field(default_factory=list)

    def ask(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """The one answer."""
        self.asked.append(dict(request))
        return self.answer_given

    def answer(self, request: dict[str, Any]) -> dict[str, Any]:
        """The same, as a unit in this process."""
        return self.ask(request)

    def close(self) -> None:
        """Nothing to do."""


def view_of(told: Told, do: str = "", state: str = "", findings: tuple[Any, ...] = ()) -> Any:
    """As much of a view as a rig looks at."""
    return SimpleNamespace(
        ledger=told.ledger,
        state=told.state,
        equipment=told.equipment,
        next=SimpleNamespace(do=do, state=state),
        finding=lambda key: next((f for f in findings if f.key == key), None),
    )


def told() -> Told:
    """A session on the demo unit with its meter named."""
    session = Told(demo_unit())
    session.event(
        "used", field="identity.instrument.meter", instrument="meter-corwen", name="Corwen", accuracy=[]
    )
    return session


def _only(view: Any, left: str) -> dict[str, Any]:
    (request,) = requests_of(view, parse(left))
    return request


def test_a_field_is_read_with_its_kind_and_the_instrument_in_use() -> None:
    """A reading names the instrument; job data has none."""
    view = view_of(told())
    assert _only(view, "electrical.line.l1_l2") == {
        "do": "read",
        "field": "electrical.line.l1_l2",
        "kind": "voltage",
        "instrument": "meter-corwen",
    }
    assert _only(view, "identity.site") == {
        "do": "read",
        "field": "identity.site",
        "kind": "text",
        "instrument": "",
    }


def test_a_parameter_is_looked_at_and_written_as_the_plan_means_it() -> None:
    """The value written is the one that the choices taken call for."""
    session = told()
    session.enter("identity.orientation", session.equipment.unit.orientations[0])
    topic = session.equipment.role("blower-tier")
    assert topic
    option = session.ledger.options(topic)[0]
    session.event("chose", topic=topic.id, option=option.id)
    id, value = next(iter(option.set.items()))
    setting = session.equipment.setting_of(id)
    assert setting
    address = setting.address[0]
    view = view_of(session)
    assert _only(view, f"found:{id}@{address}") == {"do": "look", "setting": id, "address": address}
    assert _only(view, f"read_back:{id}") == {"do": "look", "setting": id, "address": address}
    assert _only(view, f"wrote:{id}@{address}") == {
        "do": "write",
        "setting": id,
        "address": address,
        "value": value,
    }


def test_a_coded_setting_is_queried_and_written_by_its_characters() -> None:
    """Looking keys the query, writing the write code of the value meant."""
    session = told()
    code = session.equipment.code[0]
    setting = session.equipment.setting_of(code.setting)
    assert setting
    topic, option = next(
        (t, o) for t in session.equipment.topic for o in t.option if o.set.get(setting.id) == code.value
    )
    session.event("chose", topic=topic.id, option=option.id)
    view, place = view_of(session), f"{setting.id}@{setting.address[0]}"
    where = {"address": setting.address[0]}
    assert _only(view, f"found:{place}") == {"do": "code", "code": code.query, **where}
    assert _only(view, f"wrote:{place}") == {"do": "code", "code": code.write[0], **where}


def test_power_goes_where_next_wants_it_else_to_the_other_state() -> None:
    """The typed answer is the state that power then has."""
    session, rig = told(), Parrot({"done": True})
    assert ask(rig, view_of(session, "power", "off"), SwitchPower()) == Answer("off")
    session.event("powered", state="off")
    assert ask(rig, view_of(session, "enter", "idle"), SwitchPower()) == Answer("on")
    assert [asked["state"] for asked in rig.asked] == ["off", "on"]


def test_a_mend_is_typed_as_what_was_to_be_done() -> None:
    """The note says what the finding told the person to do."""
    finding = SimpleNamespace(key="EL-2 unit", do="Correct the supply.")
    rig = Parrot({"done": True})
    mended = Mend(FindingName("EL-2", "unit"))
    assert ask(rig, view_of(told(), findings=(finding,)), mended) == Answer("Correct the supply.")
    assert rig.asked == [{"do": "mend", "finding": "EL-2", "subject": "unit"}]


def test_a_mend_whose_part_stands_typed_names_it_to_the_rig_and_in_the_note() -> None:
    """One that the unit has not is not asked for."""
    finding = SimpleNamespace(key="EL-16 unit", do="Look at the wheel.")
    rig, mended = Parrot({"done": True}), Mend(FindingName("EL-16", "unit"))
    view = view_of(told(), findings=(finding,))
    assert ask(rig, view, mended, typed="Instrument clamp: ") == Answer(
        "instrument.clamp: Look at the wheel."
    )
    assert ask(rig, view, mended, typed="zeroed") == Answer("Look at the wheel.")
    asked = {"do": "mend", "finding": "EL-16", "subject": "unit"}
    assert rig.asked == [{**asked, "part": "instrument.clamp"}, asked]
    with pytest.raises(RigError, match=r"'instrument.ruler' is no part of this unit; there are instrument"):
        ask(rig, view, mended, typed="instrument.meter2: x".replace("meter2", "ruler"))


def test_a_refusal_is_an_answer_and_not_an_error() -> None:
    """A rig may say no to anything."""
    site = Enter("identity.site")
    assert ask(Parrot({"refused": "too hot"}), view_of(told()), site) == Answer(refused="too hot")


@pytest.mark.parametrize(
    "left", ["choose:blower", "acknowledge:EL-1", "sign", "no.such.field", "found:nothing@here", "mend"]
)
def test_what_only_a_person_can_say_is_not_asked(left: str) -> None:
    """An act that no rig answers is refused before anything is sent."""
    rig = Parrot({"done": True})
    with pytest.raises(RigError, match="cannot answer"):
        ask(rig, view_of(told()), parse(left))
    assert rig.asked == []


def test_a_write_without_a_choice_is_not_asked() -> None:
    """Nothing is planned for a setting before the choice that sets it."""
    setting, address = next(demo_unit().places())
    with pytest.raises(RigError, match="Nothing is planned"):
        ask(Parrot({"shown": "1"}), view_of(told()), Write(setting.id, address))


def test_resuming_tells_the_rig_what_was_read_and_how_the_unit_stands() -> None:
    """Counts of readings, settings as last shown, power and the time gone by."""
    session = told()
    session.enter("electrical.line.l1_l2", 239.0, unit="V")
    session.enter("electrical.line.l1_l2", 239.2, unit="V")
    setting, address = next(demo_unit().places())
    session.event("found", setting=setting.id, address=address, shown="1")
    session.event("wrote", setting=setting.id, address=address, shown="2")
    session.event("powered", state="off")
    rig = Parrot({"done": True})
    resume(rig, view_of(session))
    assert rig.asked == [
        {
            "do": "resume",
            "reads": {"identity.instrument.meter": 1, "electrical.line.l1_l2": 2},
            "settings": {f"{setting.id}@{address}": "2"},
            "power": "off",
            "elapsed_s": 300,
        }
    ]


def test_a_new_session_has_nothing_to_resume() -> None:
    """Nothing is sent before the first event."""
    rig = Parrot({"done": True})
    resume(rig, view_of(Told(demo_unit())))
    assert rig.asked == []


def test_a_rig_that_will_not_go_on_is_an_error() -> None:
    """A refusal to resume stops the opening."""
    with pytest.raises(RigError, match="would not go on with this session: another unit"):
        resume(Parrot({"refused": "another unit"}), view_of(told()))


def test_the_built_in_unit_is_held_to_the_same_rules() -> None:
    """A virtual unit that forgets a unit of measure is refused like a stranger."""
    with pytest.raises(RigError, match="voltage"):
        ask(BuiltIn(Parrot({"typed": "239"})), view_of(told()), Enter("electrical.line.l1_l2"))
