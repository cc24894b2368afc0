"""Every act is read from its text and written as it again; what is none is told with what would be right."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asleft.session.acts import (
    ACTS,
    FORMS,
    REVIEWS,
    Acknowledge,
    Act,
    Break,
    Cannot,
    Choose,
    Enter,
    FindingName,
    Hint,
    Look,
    Mend,
    NotAnAct,
    ReadBack,
    Retract,
    Review,
    SwitchPower,
    Waive,
    Write,
    parse,
)

IDS = st.text(string.ascii_lowercase + string.digits + "-", min_size=1, max_size=12)
CHECKS = st.builds(
    lambda letters, n: f"{letters}-{n}", st.sampled_from(["ID", "EL", "SQ"]), st.integers(1, 99)
)
SUBJECTS = st.one_of(st.just(""), st.just("unit"), IDS.map(lambda id: f"setting.{id}@unit.measured"))
NAMED = st.builds(FindingName, CHECKS, SUBJECTS)
FIELDS = st.builds(lambda pane, rest: f"{pane}.{rest}", st.sampled_from(["blower", "heat"]), IDS)
PLACES = (IDS, st.one_of(st.just(""), IDS))
REFUSABLE = st.one_of(
    st.builds(Enter, FIELDS),
    st.builds(Look, *PLACES),
    st.builds(Write, *PLACES),
    st.builds(ReadBack, *PLACES),
    st.just(SwitchPower()),
    st.builds(Mend, NAMED),
)
NUMBERS = st.integers(0, 999_999_999)
ABOUT_SOMETHING: dict[type[object], st.SearchStrategy[Act]] = {
    Enter: st.builds(Enter, FIELDS),
    Choose: st.builds(Choose, IDS),
    Look: st.builds(Look, *PLACES),
    Write: st.builds(Write, *PLACES),
    ReadBack: st.builds(ReadBack, *PLACES),
    Acknowledge: st.builds(Acknowledge, CHECKS),
    Waive: st.builds(Waive, NAMED),
    Mend: st.builds(Mend, NAMED),
    Cannot: st.builds(Cannot, REFUSABLE),
    Retract: st.builds(Retract, NUMBERS),
    Review: st.builds(Review, st.sampled_from(REVIEWS)),
    Break: st.builds(Break, CHECKS),
    Hint: st.builds(Hint, NUMBERS),
}
EVERY = st.one_of(
    *ABOUT_SOMETHING.values(),
    st.sampled_from([act() for act in ACTS if act not in ABOUT_SOMETHING]),  # type: ignore[call-arg]
)


@given(EVERY)
def test_an_act_is_what_its_text_says(act: Act) -> None:
    """There and back, for every class of act."""
    assert parse(str(act)) == act
    assert parse(f"  {act} ") == act


@given(st.sampled_from(ACTS), st.data())
def test_no_two_acts_have_one_text(kind: type[Act], data: st.DataObject) -> None:
    """The class that reading gives is the class that was written."""
    every = ABOUT_SOMETHING[kind] if kind in ABOUT_SOMETHING else st.just(kind())  # type: ignore[call-arg]
    assert type(parse(str(data.draw(every)))) is kind


@pytest.mark.parametrize(
    ("text", "act"),
    [
        ("electrical.line.l1_l2", Enter("electrical.line.l1_l2")),
        ("choose:blower", Choose("blower")),
        ("found:row-gap@unit", Look("row-gap", "unit")),
        ("wrote:row-gap@unit", Write("row-gap", "unit")),
        ("read_back:row-gap", ReadBack("row-gap")),
        ("power", SwitchPower()),
        ("acknowledge:EL-1", Acknowledge("EL-1")),
        ("waive:TD-2/unit", Waive(FindingName("TD-2", "unit"))),
        ("waive:TD-2", Waive(FindingName("TD-2"))),
        ("mended:SQ-3/setting.row-gap@unit", Mend(FindingName("SQ-3", "setting.row-gap@unit"))),
        ("cannot:power", Cannot(SwitchPower())),
        ("cannot:blower.traverse", Cannot(Enter("blower.traverse"))),
        ("cannot:EL-23/stage.1", Cannot(Mend(FindingName("EL-23", "stage.1")))),
        ("cannot:wrote:row-gap@unit", Cannot(Write("row-gap", "unit"))),
        ("retract:12", Retract(12)),
        ("broke:EL-1", Break("EL-1")),
        ("hint:3", Hint(3)),
        ("review:accepted", Review("accepted")),
        ("review:sent-back", Review("sent back")),
        ("review:sent back", Review("sent back")),
        ("review:S", Review("sent back")),
    ],
)
def test_texts_that_outsiders_rely_on(text: str, act: Act) -> None:
    """Each left side as it has been written since the first session file."""
    assert parse(text) == act


@pytest.mark.parametrize(
    ("text", "what", "right"),
    [
        ("paint:unit", "'paint' is not an act", "choose:TOPIC"),
        (":", "'' is not an act", "choose:TOPIC"),
        ("retract:last", "there is no event 'last'", "retract:N"),
        ("retract:-1", "there is no event '-1'", "retract:N"),
        ("retract:1٣", "there is no event", "retract:N"),
        ("hint:", "there is no hint ''", "hint:N"),
        ("review:fine", "'fine' is no outcome of a review", "review:accepted"),
        ("review:", "'' is no outcome", "review:sent-back"),
        ("cannot:sign", "'sign' is nothing that can be noted", "ID/SUBJECT"),
        ("cannot:choose:blower", "'choose:blower' is nothing that can be noted", "a field"),
    ],
)
def test_what_is_no_act_is_told_with_what_would_be_right(text: str, what: str, right: str) -> None:
    """What was wrong, and what would be right."""
    with pytest.raises(NotAnAct) as told:
        parse(text)
    assert what in told.value.what
    assert right in told.value.expected
    assert str(told.value) == f"{told.value.what}; {told.value.expected}"


def test_every_form_is_told_of() -> None:
    """A person who has it wrong is told of each act once."""
    assert len(FORMS) == len(set(FORMS)) == len(ACTS)


def test_a_finding_keeps_its_key_and_its_text() -> None:
    """`ID SUBJECT` in the file, `ID/SUBJECT` where it is typed."""
    name = FindingName.of_key("SQ-3 setting.row-gap@unit")
    assert (name.key, str(name)) == ("SQ-3 setting.row-gap@unit", "SQ-3/setting.row-gap@unit")
    assert FindingName.parse(str(name)) == name
