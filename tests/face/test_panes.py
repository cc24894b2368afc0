"""Which rows stand on which pane, and how a pane stands as a whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from asleft.face.offering import SAID, offered
from asleft.face.rows import AHEAD, BAR, SHORT, THIRD, TITLES, Row, counts, pane_state, rows, verdict_counts
from asleft.session.acts import Choose, parse
from asleft.session.fields import PANES
from checks.visits import happens, say
from face.stages import BEGUN, CHOSEN, DONE, IDLE, seen

BAD = (say("electrical.stage.2.current", "20 A"), say("electrical.ground.resistance", "0.9 ohm"))


def _kinds(name: str) -> list[str]:
    """What follows what on a pane, each kind once in a row."""
    view = seen(IDLE, say("electrical.line.l1_l2", "205 V"), say("identity.model", "Another"))
    kinds: list[str] = []
    for one in rows(view, name, "ip"):
        kind = "field" if one.left in view.ledger.fields else one.left.partition(":")[0]
        if kinds[-1:] != [kind]:
            kinds.append(kind)
    return kinds


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("identity", ["field", "mended"]),
        ("electrical", ["acknowledge", "power", "field", "mended"]),
        ("blower", ["field", "choose"]),
        ("heat", ["field", "choose"]),
        ("delay", ["field", "choose"]),
        ("sequence", ["found", "power"]),
    ],
)
def test_a_pane_has_its_rows_in_their_order(name: str, kinds: list[str]) -> None:
    """What comes first in the work, then what was found about it."""
    assert _kinds(name) == kinds


@pytest.mark.parametrize("name", ["blower", "heat", "delay"])
def test_findings_stand_last_where_readings_lead_to_a_choice(name: str) -> None:
    """What is near or failed there."""
    changes = {
        "blower": say("blower.static.filter", "0.40 inH2O"),
        "heat": say("heat.path.normal", "no"),
        "delay": happens("chose", topic="delay", option="min-75"),
    }
    told = rows(seen(DONE, changes[name]), name, "ip")
    assert told[-1].left.startswith("mended:")
    groups = [one.group for one in told if one.group]
    assert groups[-2:] == ["Choices", "Findings"]


def test_what_is_next_has_a_row_even_where_no_maker_made_one() -> None:
    """On its own pane, last."""
    view = seen(CHOSEN)
    odd = replace(
        view, next=replace(view.next, pane="delay", act=Choose("odd"), text="Do it.", why="Because.")
    )
    assert rows(odd, "delay", "ip")[-1] == Row(
        parse("choose:odd"), "Do it.", group="To do now", help="Because."
    )
    assert len(rows(odd, "delay", "ip")) == len(rows(view, "delay", "ip")) + 1
    assert rows(odd, "heat", "ip") == rows(view, "heat", "ip")
    known = replace(view, next=replace(view.next, pane="delay", act=Choose("delay")))
    assert rows(known, "delay", "ip") == rows(view, "delay", "ip")
    nothing = replace(view, next=replace(view.next, pane="delay", act=None))
    assert rows(nothing, "delay", "ip") == rows(view, "delay", "ip")


def test_a_pane_says_ok_or_what_is_open_or_how_much_failed() -> None:
    """A failure is louder than what waits; a waiver settles it; what is told only does not count."""
    assert {name: pane_state(seen(DONE), name) for name in PANES} == dict.fromkeys(PANES, "ok")
    bad = seen(DONE, *BAD)
    assert {n: s for n in PANES if (s := pane_state(bad, n)) != "ok"} == {
        "electrical": "1!",
        "heat": "2!",
        "sequence": "1",
        "signoff": "1",
    }
    waiver = happens("waived", id="EL-15", subject="stage.2", why="part on order")
    waived = seen(DONE, *BAD, happens("acknowledged", id="EL-19"), waiver)
    assert pane_state(waived, "electrical") == "ok"
    begun = seen(BEGUN)
    for name in PANES:
        prefix = {"identity": "ID", "electrical": "EL", "blower": "BL", "heat": "HS", "delay": "TD"}
        prefix |= {"sequence": "SQ", "signoff": "SO"}
        open_ = sum(f.open for f in begun.findings if f.id[:2] == prefix[name] and f.id != "SO-2")
        assert pane_state(begun, name) == (str(open_) if open_ else "ok")


def test_open_findings_are_counted_by_what_they_bind() -> None:
    """Holds, corrects, and what is told only."""
    assert counts(seen(DONE)) == {"hold": 0, "correct": 0, "told": 0}
    bad = seen(DONE, *BAD)
    told = [f for f in bad.findings if f.severity == "advise" and f.failed]
    assert told
    assert counts(bad) == {
        "hold": sum(f.open and f.severity == "hold" for f in bad.findings),
        "correct": 4,
        "told": len(told),
    }
    assert counts(seen(BEGUN))["told"] == 0
    assert counts(seen(BEGUN))["hold"] > 10


def test_findings_are_counted_by_verdict_in_the_words_of_the_ledger() -> None:
    """The worst first; what does not apply is left out."""
    view = seen(IDLE, say("electrical.ground.resistance", "0.49 ohm"), say("electrical.line.l1_l2", "205 V"))
    told = verdict_counts(view)
    assert list(told) == ["fail", "fail, near", "pass, near", "pass", "not measured"]
    verdicts = [f.verdict for f in view.findings]
    assert told["fail"] == verdicts.count("fail") > 0
    assert told["fail, near"] == verdicts.count("conditional fail")
    assert told["pass, near"] == verdicts.count("conditional pass") > 0
    assert told["pass"] == verdicts.count("pass")
    assert told["not measured"] == verdicts.count("not measured")


def test_panes_have_titles_short_names_and_one_a_column_of_its_own() -> None:
    """As they are written everywhere."""
    assert TITLES == {
        "identity": "Unit identity",
        "electrical": "Electrical checks",
        "blower": "Blower tier",
        "heat": "Heat staging",
        "delay": "Time-delay codes",
        "sequence": "Setting sequence",
        "signoff": "Sign-off",
    }
    assert SHORT == {
        "identity": "Identity",
        "electrical": "Electrical",
        "blower": "Blower",
        "heat": "Heat",
        "delay": "Delay",
        "sequence": "Sequence",
        "signoff": "Sign-off",
    }
    assert THIRD == {"sequence": "meant"}
    assert (BAR, AHEAD) == (10, "→ ")


def test_what_is_remembered_is_offered_only_where_nothing_counts_yet() -> None:
    """It stands among the details that it is only offered; a reading to be taken again is offered anew."""
    done, owed = Row(parse("a"), "A", found="1", done=True), Row(parse("b"), "B", details=("x",))
    offers = {parse("a"): "9", parse("b"): "8"}
    assert offered((done, owed), offers) == (
        done,
        Row(parse("b"), "B", details=("x", SAID), prefill="8"),
    )
    assert offered((done, owed), {}) == (done, owed)
    assert offered((done, owed), {"c": "7"}) == (done, owed)


def test_a_row_knows_the_keys_of_its_choices() -> None:
    """Numbers up to nine, y and n, none where choices are numbers or too many."""
    nine = tuple("abcdefghi")
    assert Row(parse("x"), "X", choices=nine).choice_keys == tuple("123456789")
    assert Row(parse("x"), "X", choices=(*nine, "j")).choice_keys == ("",) * 10
    assert Row(parse("x"), "X", choices=("yes",)).choice_keys == ("y",)
    assert Row(parse("x"), "X", choices=("yes", "no")).choice_keys == ("y", "n")
    assert Row(parse("x"), "X").choice_keys == ()
