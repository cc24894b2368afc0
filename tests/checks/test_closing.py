"""Checks of what is done last: nothing temporary left, the record complete, the owner shown."""

from __future__ import annotations

import pytest

from checks.visits import CLOSING, Row, all_of, found, happens, never, say, undone, use

UNDATED = use("clamp", "clamp-9", ("current 0.5 % + 1 x 0.01 A",), until="")
WITH_IT = (UNDATED, say("electrical.blower.current", "3.3 A"))

ROWS = (
    Row("all taken away", "SQ-5 unit", "pass", severity="correct"),
    Row("a jumper left", "SQ-5 unit", "fail", (say("signoff.cleared", "no"),), says="Nothing temporary left"),
    Row("a hole left open", "SQ-5 unit", "fail", (say("signoff.holes_plugged", "no"),), says="Test holes"),
    Row("not said", "SQ-5 unit", "not measured", (never("signoff.cleared"),), fields=("signoff.cleared",)),
    Row(
        "said before the last call for heat",
        "SQ-5 unit",
        "not measured",
        (say("heat.path.normal", "yes"),),
        fields=("signoff.cleared", "signoff.holes_plugged"),
        says="to be taken again",
    ),
    Row(
        "nothing missing", "SO-4 unit", "pass", severity="correct", says="4 instruments, airflow by fan table"
    ),
    Row("an instrument without a date", "SO-4 unit", "fail", WITH_IT, says="The clamp"),
    Row("a date missing where it was not used", "SO-4 unit", "pass", (UNDATED,)),
    Row(
        "a setting never looked at",
        "SO-4 unit",
        "not measured",
        (undone("found", setting="trail"),),
        says="trail@unit",
    ),
    Row(
        "a setting written and not seen again",
        "SO-4 unit",
        "not measured",
        (happens("wrote", setting="trail", address="unit", shown="90"),),
        says="as left",
        fields=("read_back:trail@unit",),
    ),
    Row("no code edition", "SO-4 unit", "not measured", (never("identity.code"),), fields=("identity.code",)),
    Row(
        "airflow not known",
        "SO-4 unit",
        "not measured",
        (never("blower.static.supply"), never("heat.stage.2.leaving_air")),
        says="a method of airflow",
    ),
    Row(
        "a waiver is told",
        "SO-4 unit",
        "pass",
        (
            say("electrical.control.loaded", "20.9 V"),
            happens("waived", id="EL-6", subject="unit.loaded", why="a larger transformer is ordered"),
        ),
        says="Waived: EL-6 unit.loaded",
    ),
    Row("shown and labelled", "SO-5 unit", "pass", severity="advise"),
    Row("nobody at home", "SO-5 unit", "fail", (say("signoff.owner_shown", "no"),), says="Owner shown"),
    Row("no directory", "SO-5 unit", "fail", (say("signoff.directory", "no"),), says="Circuits labelled"),
    Row("nobody said", "SO-5 unit", "not measured", (never("signoff.directory"),)),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_closing(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_said_again_it_stands() -> None:
    """What lapsed is asked again, and nothing else."""
    findings = found(say("heat.path.normal", "yes"), all_of(CLOSING))
    assert findings["SQ-5 unit"].verdict == "pass"
    assert findings["SO-1 unit"].verdict == "pass"


def test_the_record_is_summed_up_after_everything_else_is_judged() -> None:
    """SO-2 knows of SO-4, which stands after it in the catalogue."""
    findings = found(*WITH_IT, all_of(CLOSING))
    assert "SO-4" in findings["SO-2 unit"].text
    assert list(findings).index("SO-2 unit") < list(findings).index("SO-4 unit")
