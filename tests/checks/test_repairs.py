"""What is known after a repair: nothing that the part mended can have changed."""

from __future__ import annotations

import pytest

from asleft.sequence.guards import COMMISSIONED
from asleft.session.acts import Mend
from checks.visits import Change, found, happens, prove_dead, say
from face.stages import DONE, noted, seen

LINE, LOADED = "electrical.line.l1_l2", "electrical.loaded.l1_l2"
LOW = (say(LINE, "205 V"), say(LOADED, "203 V"), say("electrical.line.l1_ground", "102 V"))
ELEMENT = say("electrical.stage.2.current", "23.2 A")


def mends(key: str, affects: tuple[str, ...] = (), part: str = "") -> Change:
    """A repair noted, as it stands in a file; a file of before has no part."""
    named = {"part": part} if part else {}
    return happens("noted", text="done", mends=key, affects=list(affects), **named)


@pytest.mark.parametrize("part", ["", "stage.2"])
def test_ten_minutes_of_heat_from_before_the_element_was_replaced_sign_nothing(part: str) -> None:
    """Nor do the old amps of the legs, the rise, or the volts under load stand beside the new element."""
    after = found(ELEMENT, mends("EL-15 stage.2", ("electrical.stage.2.current",), part))
    for key in (
        "EL-15 stage.2",
        "HS-16 unit",
        "EL-22 circuit.1",
        "HS-5 stage.2.measured",
        "HS-6 unit",
        "EL-14 unit",
    ):
        assert after[key].verdict == "not measured", key
    assert "electrical.stage.2.to_frame" in after["SO-1 unit"].fields
    assert COMMISSIONED in after["EL-22 circuit.1"].guards
    # The other stage's insulation, the ducts and the papers are what they were.
    for key in ("EL-23 stage.1", "BL-5 tier.firm.measured", "EL-9 circuit.1", "EL-13 unit"):
        assert after[key].verdict in ("pass", "conditional pass"), key


@pytest.mark.parametrize("part", ["", "supply"])
def test_after_a_mended_supply_no_old_reading_accuses_it(part: str) -> None:
    """The old line to ground is no longer held against the new line to line."""
    before = found(*LOW)
    assert before["EL-2 unit"].failed
    assert not before["EL-4 leg.l1"].failed
    assert found(*LOW, say(LINE, "240.0 V"))["EL-4 leg.l1"].failed
    after = found(*LOW, mends("EL-2 unit", (LINE,), part), say(LINE, "240.0 V"))
    assert after["EL-2 unit"].verdict == "pass"
    for key in ("EL-4 leg.l1", "EL-4 leg.l2", "EL-14 unit", "EL-3 unit", "EL-15 stage.1", "HS-16 unit"):
        assert not after[key].failed, key
    assert {after[f"EL-4 leg.{leg}"].verdict for leg in ("l1", "l2")} == {"not measured"}


def test_what_one_repair_mended_is_asked_for_once() -> None:
    """The readings are taken again first, the pairs and legs of the supply together."""
    view = seen(DONE, *LOW)
    assert isinstance(view.next.act, Mend) or view.next.do in ("power", "acknowledge")
    asked = []
    mended = noted("tap moved", mends="EL-2 unit", affects=(LINE,))
    told: list[Change] = [*LOW, mended]
    for field, typed in (
        (LINE, "240 V"),
        ("electrical.line.l1_ground", "120 V"),
        ("electrical.line.l2_ground", "120 V"),
    ):
        view = seen(DONE, *told)
        assert not [f.key for f in view.findings if f.failed and f.id.startswith("EL-") and f.open]
        asked.append((view.next.do, view.next.field))
        told.append(say(field, typed))
    assert asked == [
        ("measure_again", LINE),
        ("measure_again", "electrical.line.l1_ground"),
        ("measure_again", "electrical.line.l2_ground"),
    ]
    assert {f.verdict for f in seen(DONE, *told).findings if f.id in ("EL-2", "EL-4")} == {"pass"}


def test_a_part_that_was_named_is_the_one_that_was_mended() -> None:
    """The clamp, not the element: what it cannot have changed stands, what it read does not."""
    after = found(ELEMENT, mends("EL-15 stage.2", ("electrical.stage.2.current",), "instrument.clamp"))
    assert after["EL-15 stage.2"].verdict == "not measured"
    assert after["EL-14 unit"].verdict == "pass"
    assert after["EL-22 circuit.1"].verdict == "not measured"


def test_an_acknowledgement_does_not_end_with_a_repair() -> None:
    """What is locked stays locked, and who is ready stays ready."""
    off = (happens("powered", state="off"), prove_dead, happens("acknowledged", id="EL-1"))
    keys = ("EL-1 unit", "EL-18 unit", "EL-19 unit")
    for mended in (mends("EL-2 unit"), mends("EL-20 circuit.1"), mends("EL-22 circuit.1", part="circuit.1")):
        before, after = found(ELEMENT, *off), found(ELEMENT, *off, mended)
        assert [after[key].verdict for key in keys] == [before[key].verdict for key in keys]
        assert after["EL-1 unit"].verdict == "pass"


def test_a_proof_by_a_meter_that_was_bad_is_none() -> None:
    """Hands stay out until every point is read again."""
    off = (happens("powered", state="off"), prove_dead, happens("acknowledged", id="EL-1"))
    after = found(ELEMENT, *off, mends("EL-2 unit", part="instrument.meter"))
    assert {after[key].verdict for key in ("EL-25 unit", "EL-1 unit")} == {"not measured"}
