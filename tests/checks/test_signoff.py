"""Checks of the record before it is signed."""

from __future__ import annotations

import pytest

from checks.visits import CLOSING, Change, Row, all_of, choose, found, happens, never, say
from support import demo_unit

WAITING = demo_unit().model_copy(
    update={
        "setting": tuple(
            s.model_copy(update={"power_cycle": s.id == "air-letter"}) for s in demo_unit().setting
        )
    }
)
WELDED = say("electrical.circuit.1.no_call.l1", "20 A")
STALE = happens("wrote", setting="air-letter", address="unit", shown="f")
SPOILT = say("electrical.control.loaded", "20.9 V")
WAIVED = happens("waived", id="EL-6", subject="unit.loaded", why="a larger transformer is ordered")
OFF = happens("powered", state="off")


def told(tagged: bool = True, left: str = "isolated") -> tuple[Change, ...]:
    return (
        happens("entered", field="signoff.told", typed="Ida", value="Ida"),
        happens("entered", field="signoff.made_safe", typed=left, value=left),
        happens("entered", field="signoff.tagged", typed=str(tagged), value=tagged),
    )


HEAT_OFF: tuple[Change, ...] = (
    choose("auxiliary", "off"),
    happens("wrote", setting="bank-use", address="system", shown="none"),
    happens("read_back", setting="bank-use", address="system", shown="none"),
)

ROWS = (
    Row("nothing stale", "SO-1 unit", "pass", severity="correct"),
    Row("a tier written since", "SO-1 unit", "not measured", (STALE,), fields=("blower.static.supply",)),
    Row(
        "something mended since",
        "SO-1 unit",
        "not measured",
        (happens("noted", text="lug", mends="EL-14 unit", affects=["electrical.loaded.l1_l2"]),),
    ),
    Row("all closed", "SO-2 unit", "pass", severity="hold"),
    Row("a correct failed", "SO-2 unit", "fail", (SPOILT,), says="EL-6 unit.loaded"),
    Row("a correct waived", "SO-2 unit", "pass", (SPOILT, WAIVED, all_of(CLOSING))),
    Row("a waiver that lapsed", "SO-2 unit", "fail", (SPOILT, WAIVED, SPOILT)),
    Row("a hold not measured", "SO-2 unit", "not measured", (never("heat.path.normal"),), says="HS-10"),
    Row("a hold failed", "SO-2 unit", "fail", (say("electrical.line.l1_l2", "208 V"),), says="EL-2"),
    Row("advice does not stand in the way", "SO-2 unit", "pass", (say("blower.design_airflow", "1380 cfm"),)),
    Row("an acknowledgement that lapsed", "SO-2 unit", "not measured", (OFF,), says="EL-25"),
    Row("commissioned: nothing to leave safe", "SO-3 unit", "not applicable", severity="hold"),
    Row(
        "nothing entered",
        "SO-3 unit",
        "not measured",
        (SPOILT,),
        fields=("signoff.told", "signoff.made_safe", "signoff.tagged"),
    ),
    Row("isolated, tagged, told", "SO-3 unit", "pass", (SPOILT, OFF, *told()), says="Ida"),
    Row(
        "no tag",
        "SO-3 unit",
        "fail",
        (SPOILT, OFF, *told(tagged=False)),
        says="tag",
        fields=("signoff.made_safe", "signoff.told", "signoff.tagged"),
    ),
    Row("power still on", "SO-3 unit", "fail", (SPOILT, *told()), says="Power is on", fields=()),
    Row(
        "heat off, power on",
        "SO-3 unit",
        "pass",
        (SPOILT, *HEAT_OFF, *told(left="heat off")),
        says="heat off",
    ),
    Row(
        "heat off, power on, and current without a call",
        "SO-3 unit",
        "fail",
        (WELDED, *HEAT_OFF, *told(left="heat off")),
        says="EL-22 circuit.1 is open",
        fields=(),
    ),
    Row("isolated, whatever current there was", "SO-3 unit", "pass", (WELDED, OFF, *told())),
    Row(
        "said to be isolated, power on",
        "SO-3 unit",
        "fail",
        (SPOILT, *HEAT_OFF, *told()),
        says="entered as isolated",
        fields=("signoff.made_safe",),
    ),
    Row("running, read back", "SO-6 unit", "pass", severity="hold", says="Power is on"),
    Row("left with power off", "SO-6 unit", "not measured", (OFF,), says="Power is off"),
    Row("on again", "SO-6 unit", "pass", (OFF, happens("powered", state="on"))),
    Row("written last of all", "SO-6 unit", "not measured", (STALE,), says="was written last"),
    Row(
        "written, and a reading since", "SO-6 unit", "pass", (STALE, say("blower.static.supply", "0.2 in wc"))
    ),
    Row(
        "written, and another setting looked at since",
        "SO-6 unit",
        "pass",
        (STALE, happens("found", setting="trail", address="unit", shown="60")),
    ),
    Row("a jumper left in", "SO-6 unit", "fail", (say("signoff.cleared", "no"),), says="still stands"),
    Row(
        "left not commissioned",
        "SO-6 unit",
        "not applicable",
        (SPOILT, OFF, *told(), happens("signed", outcome="not commissioned")),
    ),
    Row(
        "signed, and power off since",
        "SO-6 unit",
        "not measured",
        (happens("signed", outcome="commissioned"), OFF),
        says="Power is off",
    ),
    Row(
        "a write that waits for a power cycle",
        "SO-6 unit",
        "not measured",
        (STALE, happens("read_back", setting="air-letter", address="unit", shown="f")),
        equipment=WAITING,
        says="waits for power",
    ),
    Row(
        "and is in force after it",
        "SO-6 unit",
        "pass",
        (
            STALE,
            OFF,
            happens("powered", state="on"),
            happens("read_back", setting="air-letter", address="unit", shown="f"),
        ),
        equipment=WAITING,
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_signoff(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_sign_off_is_not_mended() -> None:
    """It follows from the other findings."""
    findings = found(SPOILT)
    assert not any(findings[f"{id} unit"].mendable for id in ("SO-1", "SO-2", "SO-3"))


def test_signing_as_not_commissioned_is_guarded_by_leaving_it_safe_alone() -> None:
    """Whatever else is open."""
    findings = found(SPOILT)
    guarding = [f.key for f in findings.values() if "signing as not commissioned" in f.guards]
    assert guarding == ["SO-3 unit"]
