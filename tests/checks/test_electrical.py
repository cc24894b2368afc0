"""Checks of supply, grounding, control power and what is drawn."""

from __future__ import annotations

import pytest

from asleft.equipment.model import Equipment
from checks.visits import (
    Change,
    Row,
    choose,
    found,
    happens,
    never,
    prove_dead,
    say,
    use,
    with_circuit,
    with_kit,
)
from support import demo_unit

LINE, LOADED, GROUND = "electrical.line.l1_l2", "electrical.loaded.l1_l2", "electrical.ground.resistance"
L1, L2 = "electrical.line.l1_ground", "electrical.line.l2_ground"
OFF: tuple[Change, ...] = (
    choose("auxiliary", "off"),
    happens("wrote", setting="bank-use", address="system", shown="none"),
    happens("read_back", setting="bank-use", address="system", shown="none"),
)


def three_phase() -> Equipment:
    """The demo unit on a three-phase supply."""
    unit = demo_unit()
    supply = tuple(s.model_copy(update={"phases": 3}) for s in unit.supply)
    return unit.model_copy(update={"supply": supply})


def lines(l1_l2: str, l2_l3: str, l3_l1: str) -> tuple[Change, ...]:
    return (say(LINE, l1_l2), say("electrical.line.l2_l3", l2_l3), say("electrical.line.l3_l1", l3_l1))


def legs(system: str, l1: str, l2: str) -> tuple[Change, ...]:
    return (say("identity.system", system), say(L1, l1), say(L2, l2))


LEAD_OPEN = (say(LINE, "1.5 V"), say(L1, "120.4 V"), say(L2, "0.8 V"))
OPEN_OF_THREE = (
    *lines("118 V", "121 V", "240 V"),
    say("identity.system", "wye"),
    say(L1, "138.5 V"),
    say(L2, "0.6 V"),
    say("electrical.line.l3_ground", "138.7 V"),
)

# The meter is good for 0.5 % + 0.2 V: at 240 V the limit is 1.4 V and U = 2 x 1.4 / root 3 = 1.6 V.
ROWS = (
    Row("acknowledged, power on since", "EL-1 unit", "not applicable"),
    Row(
        "power off again",
        "EL-1 unit",
        "not measured",
        (happens("powered", state="off"),),
        fields=("acknowledge:EL-1",),
    ),
    Row(
        "acknowledged with power off",
        "EL-1 unit",
        "pass",
        (happens("powered", state="off"), prove_dead, happens("acknowledged", id="EL-1")),
    ),
    Row(
        "acknowledged, not proved dead",
        "EL-1 unit",
        "not measured",
        (happens("powered", state="off"), happens("acknowledged", id="EL-1")),
        says="not proved dead",
    ),
    Row("a meter ready", "EL-18 unit", "pass"),
    Row("a new meter", "EL-18 unit", "not measured", (use("meter", "meter-2", ("voltage 1 %",)),)),
    Row("acknowledged after power came on", "EL-19 unit", "pass"),
    Row(
        "power off since",
        "EL-19 unit",
        "not measured",
        (happens("powered", state="off"),),
        fields=("acknowledge:EL-19",),
    ),
    Row("inside the plate's range", "EL-2 unit", "pass", severity="hold"),
    Row("inside, but nearer than U", "EL-2 unit", "conditional pass", (say(LINE, "252.0 V"),)),
    Row("exactly on the limit", "EL-2 unit", "conditional pass", (say(LINE, "253.0 V"),)),
    Row("outside by less than U", "EL-2 unit", "conditional fail", (say(LINE, "254.0 V"),)),
    Row("outside", "EL-2 unit", "fail", (say(LINE, "208 V"),), says="208.0 V"),
    Row("not read", "EL-2 unit", "not measured", (never(LINE),), fields=(LINE,)),
    Row(
        "supply not said",
        "EL-2 unit",
        "not measured",
        (never("identity.supply"),),
        fields=("identity.supply",),
    ),
    Row("the mean of repeats counts", "EL-2 unit", "pass", (say(LINE, "250.9; 251.0; 251.1 V"),)),
    Row("three pairs inside", "EL-2 unit", "pass", lines("240 V", "239 V", "241 V"), three_phase()),
    Row(
        "the worst of three pairs",
        "EL-2 unit",
        "fail",
        lines("240 V", "209 V", "241 V"),
        three_phase(),
        says="L2 to L3",
    ),
    Row(
        "one pair not read",
        "EL-2 unit",
        "not measured",
        equipment=three_phase(),
        fields=("electrical.line.l2_l3",),
    ),
    Row("half of a split supply", "EL-4 leg.l1", "pass", severity="hold"),
    Row("other leg too", "EL-4 leg.l2", "pass"),
    Row("6 % off half", "EL-4 leg.l2", "pass", (say(L2, "127.1 V"),)),
    Row("7 % off half", "EL-4 leg.l2", "fail", (say(L2, "128.4 V"),)),
    Row("an open leg", "EL-4 leg.l2", "fail", (say(L2, "2 V"),)),
    Row("a lead open, and its leg", "EL-4 leg.l2", "fail", LEAD_OPEN, says="This leg is open"),
    Row("a lead open, and the sound leg", "EL-4 leg.l1", "pass", LEAD_OPEN),
    Row("both poles on one phase: each leg is right", "EL-4 leg.l2", "pass", (say(LINE, "0.3 V"),)),
    Row("and the pair is not", "EL-2 unit", "fail", (say(LINE, "0.3 V"),)),
    Row(
        "one lead of three open", "EL-4 leg.l2", "fail", OPEN_OF_THREE, three_phase(), says="This leg is open"
    ),
    Row("and a sound one", "EL-4 leg.l3", "pass", OPEN_OF_THREE, three_phase()),
    Row("a wye", "EL-4 leg.l1", "pass", legs("wye", "138.6 V", "138.6 V")),
    Row("a wye that is a split", "EL-4 leg.l1", "fail", legs("wye", "120 V", "120 V")),
    Row("a high leg declared", "EL-4 leg.l2", "pass", legs("high-leg", "120 V", "208 V")),
    Row("its low leg", "EL-4 leg.l1", "pass", legs("high-leg", "120 V", "208 V")),
    Row("a high leg not declared", "EL-4 leg.l2", "fail", legs("split", "120 V", "208 V"), says="high leg"),
    Row("line of a line-neutral supply", "EL-4 leg.l1", "pass", legs("line-neutral", "240 V", "1 V")),
    Row("neutral of it", "EL-4 leg.l2", "pass", legs("line-neutral", "240 V", "1 V")),
    Row(
        "which leg is the neutral is not known from one",
        "EL-4 leg.l2",
        "not measured",
        (*legs("line-neutral", "240 V", "1 V"), never(L1)),
        fields=(L1,),
    ),
    Row("a neutral that floats", "EL-4 leg.l2", "fail", legs("line-neutral", "240 V", "60 V")),
    Row(
        "grounding not said",
        "EL-4 leg.l1",
        "not measured",
        (never("identity.system"),),
        fields=("identity.system",),
    ),
    Row("a leg not read", "EL-4 leg.l1", "not measured", (never(L1),), fields=(L1, LINE)),
    Row(
        "a third leg has to be read",
        "EL-4 leg.l3",
        "not measured",
        lines("240 V", "240 V", "240 V"),
        three_phase(),
    ),
    Row("control voltage idle", "EL-6 unit.idle", "pass", severity="correct"),
    Row("the wrong tap", "EL-6 unit.idle", "fail", (say("electrical.control.idle", "20.8 V"),)),
    Row("control voltage loaded", "EL-6 unit.loaded", "pass"),
    Row("overloaded", "EL-6 unit.loaded", "fail", (say("electrical.control.loaded", "20.9 V"),)),
    Row(
        "near the least",
        "EL-6 unit.loaded",
        "conditional pass",
        (say("electrical.control.loaded", "21.7 V"),),
    ),
    Row(
        "idle, not read",
        "EL-6 unit.idle",
        "not measured",
        (never("electrical.control.idle"),),
        fields=("electrical.control.idle",),
    ),
    Row(
        "loaded, not read",
        "EL-6 unit.loaded",
        "not measured",
        (never("electrical.control.loaded"),),
        fields=("electrical.control.loaded",),
    ),
    Row("loaded, no kit", "EL-6 unit.loaded", "not applicable", (say("identity.kit", "none"),)),
    Row(
        "no control circuit on file",
        "EL-6 unit.idle",
        "not applicable",
        equipment=demo_unit().model_copy(update={"control_circuit": None}),
    ),
    Row("a sound grounding path", "EL-13 unit", "pass", severity="hold", says="does not prove"),
    Row("poor, told only", "EL-13 unit", "fail", (say(GROUND, "0.8 ohm"),), severity="advise"),
    Row(
        "poor by less than U", "EL-13 unit", "conditional fail", (say(GROUND, "0.51 ohm"),), severity="advise"
    ),
    Row(
        "above 1 ohm counts as open",
        "EL-13 unit",
        "fail",
        (say(GROUND, "1.2 ohm"),),
        severity="hold",
        says="open",
    ),
    Row(
        "above 1 ohm by less than U",
        "EL-13 unit",
        "conditional fail",
        (say(GROUND, "1.01 ohm"),),
        severity="hold",
    ),
    Row("not measured", "EL-13 unit", "not measured", (never(GROUND),), severity="hold"),
    Row("loaded, inside", "EL-14 unit", "pass", severity="correct"),
    Row("loaded, outside", "EL-14 unit", "fail", (say(LOADED, "213 V"),)),
    Row("loaded, on the limit", "EL-14 unit", "conditional pass", (say(LOADED, "216 V"),)),
    Row("loaded, no kit", "EL-14 unit", "not applicable", (say("identity.kit", "none"),)),
    Row(
        "loaded, kit not said",
        "EL-14 unit",
        "not measured",
        (never("identity.kit"),),
        fields=("identity.kit",),
    ),
    Row("loaded, heat kept off", "EL-14 unit", "not applicable", OFF),
    Row("a stage as rated", "EL-15 stage.1", "pass", severity="correct"),
    Row("the second, less the first", "EL-15 stage.2", "pass"),
    Row(
        "an open stage",
        "EL-15 stage.2",
        "fail",
        (say("electrical.stage.2.current", "23.2 A"),),
        says="Stage 2 is open",
    ),
    Row(
        "a first stage open",
        "EL-15 stage.1",
        "fail",
        (say("electrical.stage.1.current", "3.3 A"),),
        says="Stage 1 is open",
    ),
    Row("another kit", "EL-15 stage.1", "fail", (say("electrical.stage.1.current", "33 A"),)),
    # 19.50 A rated at 239 V: 0.90 of it is 17.55 A, with the blower's 3.3 A that is 20.85 A.
    Row("just inside", "EL-15 stage.1", "conditional pass", (say("electrical.stage.1.current", "20.95 A"),)),
    Row("just outside", "EL-15 stage.1", "conditional fail", (say("electrical.stage.1.current", "20.8 A"),)),
    Row("amps not read", "EL-15 stage.2", "not measured", (never("electrical.stage.2.current"),)),
    Row(
        "blower not read",
        "EL-15 stage.1",
        "not measured",
        (never("electrical.blower.current"),),
        fields=("electrical.blower.current",),
    ),
    Row("no kit", "EL-15 unit", "not applicable", (say("identity.kit", "none"),)),
    Row("heat kept off", "EL-15 stage.1", "not applicable", OFF),
    Row("no circuits on file", "EL-15 stage.1", "not applicable", equipment=with_kit(circuit=())),
    Row(
        "no volts while called",
        "EL-15 stage.1",
        "fail",
        (say("electrical.stage.1.voltage", "0 V"),),
        says="No voltage",
    ),
    Row("legs alike, nothing leaks", "EL-22 circuit.1", "pass", severity="hold"),
    Row(
        "a welded relay",
        "EL-22 circuit.1",
        "fail",
        (say("electrical.circuit.1.no_call.l1", "20 A"),),
        says="without a call",
    ),
    Row(
        "an element to the frame",
        "EL-22 circuit.1",
        "fail",
        (say("electrical.circuit.1.no_call.l2", "20 A"),),
    ),
    Row(
        "1.5 A without a call",
        "EL-22 circuit.1",
        "conditional pass",
        (say("electrical.circuit.1.no_call.l1", "1.5 A"),),
    ),
    Row("legs 10 % apart", "EL-22 circuit.1", "fail", (say("electrical.circuit.1.called.l2", "38 A"),)),
    Row(
        "legs 3 A apart at 43 A", "EL-22 circuit.1", "pass", (say("electrical.circuit.1.called.l2", "40 A"),)
    ),
    Row(
        "2.6 A that does not return",
        "EL-22 circuit.1",
        "fail",
        (say("electrical.circuit.1.called.both", "2.6 A"),),
        says="together",
    ),
    Row(
        "1.9 A that does not return",
        "EL-22 circuit.1",
        "pass",
        (say("electrical.circuit.1.called.both", "1.9 A"),),
    ),
    Row("heat not called yet", "EL-22 circuit.1", "not measured", (never("electrical.circuit.1.called.l1"),)),
    Row(
        "a leak is told before heat is called",
        "EL-22 circuit.1",
        "fail",
        (never("electrical.circuit.1.called.l1"), say("electrical.circuit.1.no_call.l1", "20 A")),
    ),
    Row("heat kept off, legs dead", "EL-22 circuit.1", "pass", OFF),
    Row("no kit", "EL-22 unit", "not applicable", (say("identity.kit", "none"),)),
)
DEVICE, SIZE = "electrical.circuit.1.device", "electrical.circuit.1.conductor"
AMBIENT, CAPACITY = "electrical.circuit.1.ambient", "electrical.circuit.1.capacity"
IEC = say("identity.code", "IEC 60364")
UNMARKED = with_circuit(minimum=None, maximum=None)
CIRCUITS = (
    Row("a device between its marks", "EL-8 circuit.1", "pass", severity="hold"),
    Row("above the marked maximum", "EL-8 circuit.1", "fail", (say(DEVICE, "70 A"),), severity="hold"),
    Row(
        "below the minimum is told, not held",
        "EL-8 circuit.1",
        "fail",
        (say(DEVICE, "50 A"),),
        severity="correct",
    ),
    Row(
        "device not read",
        "EL-8 circuit.1",
        "not measured",
        (never(DEVICE),),
        severity="hold",
        fields=(DEVICE,),
    ),
    Row(
        "code not said",
        "EL-8 circuit.1",
        "not measured",
        (never("identity.code"),),
        fields=("identity.code",),
    ),
    # 1.25 x (39.2 + 4.3) A = 54.4 A; 6 AWG at 75 degC terminals 65 A, next standard size 70 A.
    Row(
        "unmarked, next size above the conductor", "EL-8 circuit.1", "pass", (say(DEVICE, "70 A"),), UNMARKED
    ),
    Row("unmarked, one size more", "EL-8 circuit.1", "fail", (say(DEVICE, "80 A"),), UNMARKED, "hold"),
    Row("unmarked, below 125 %", "EL-8 circuit.1", "fail", (say(DEVICE, "50 A"),), UNMARKED, "correct"),
    Row("no kit", "EL-8 unit", "not applicable", (say("identity.kit", "none"),)),
    Row("kit not said", "EL-8 unit", "not measured", (never("identity.kit"),), fields=("identity.kit",)),
    Row("no circuits on file", "EL-8 unit", "not applicable", equipment=with_kit(circuit=())),
    # Elsewhere: 44.3 A design current <= device <= capacity, no 125 %.
    Row("by another code", "EL-8 circuit.1", "pass", (IEC, say(CAPACITY, "55 A"), say(DEVICE, "50 A"))),
    Row(
        "above the capacity",
        "EL-8 circuit.1",
        "fail",
        (IEC, say(CAPACITY, "55 A"), say(DEVICE, "60 A")),
        severity="hold",
    ),
    Row(
        "below the design current",
        "EL-8 circuit.1",
        "fail",
        (IEC, say(CAPACITY, "55 A"), say(DEVICE, "40 A")),
        severity="correct",
    ),
    Row("capacity not entered", "EL-8 circuit.1", "not measured", (IEC,), fields=(CAPACITY,)),
    Row("a conductor that carries it", "EL-9 circuit.1", "pass", severity="hold"),
    Row("one size thinner", "EL-9 circuit.1", "fail", (say(SIZE, "8 AWG"),), says="conductor"),
    # 6 AWG, 75 degC insulation at 46 to 50 degC: 65 x 0.75 = 48.75 A.
    Row("a hot attic", "EL-9 circuit.1", "fail", (say(AMBIENT, "48 C"),)),
    Row("four bundled", "EL-9 circuit.1", "fail", (say("electrical.circuit.1.conductors", "4"),)),
    Row(
        "too hot for the insulation",
        "EL-9 circuit.1",
        "not measured",
        (say("electrical.circuit.1.insulation", "60"), say(AMBIENT, "69 C")),
    ),
    Row("a size that the table lacks", "EL-9 circuit.1", "not measured", (say(SIZE, "10 mm2"),)),
    Row("a device too large for it", "EL-9 circuit.1", "fail", (say(DEVICE, "80 A"),), says="Device"),
    Row(
        "a small conductor is capped",
        "EL-9 circuit.1",
        "fail",
        (say("identity.kit", "ash"), say(SIZE, "10 AWG"), say(DEVICE, "35 A")),
    ),
    Row(
        "a small conductor within its cap",
        "EL-9 circuit.1",
        "pass",
        (say("identity.kit", "ash"), say(SIZE, "10 AWG"), say(DEVICE, "30 A")),
    ),
    Row("conductor not read", "EL-9 circuit.1", "not measured", (never(SIZE),), fields=(SIZE,)),
    Row("capacity as entered", "EL-9 circuit.1", "pass", (IEC, say(CAPACITY, "55 A"), say(DEVICE, "50 A"))),
    Row(
        "capacity below the load", "EL-9 circuit.1", "fail", (IEC, say(CAPACITY, "40 A"), say(DEVICE, "40 A"))
    ),
    Row("no kit", "EL-9 unit", "not applicable", (say("identity.kit", "none"),)),
    Row("at most 48 A", "EL-10 unit", "pass", severity="hold"),
    Row("above 48 A with its own devices", "EL-10 unit", "pass", (say("identity.kit", "elm"),), says="own"),
    Row(
        "above 48 A without them: both circuits' devices count",
        "EL-10 unit",
        "not measured",
        (say("identity.kit", "elm"),),
        with_kit(element_devices=None),
        fields=("electrical.circuit.2.device",),
    ),
    Row(
        "above 48 A in two parts",
        "EL-10 unit",
        "pass",
        (say("identity.kit", "elm"), say(DEVICE, "45 A"), say("electrical.circuit.2.device", "40 A")),
        with_kit(element_devices=None),
    ),
    Row(
        "both parts behind one large device",
        "EL-10 unit",
        "fail",
        (say("identity.kit", "elm"), say(DEVICE, "90 A"), say("electrical.circuit.2.device", "40 A")),
        with_kit(element_devices=None),
    ),
    # 11.52 kW at 240 V is 48.0 A exactly.
    Row("exactly 48 A", "EL-10 unit", "pass", equipment=with_kit(power=11520.0, element_devices=None)),
    Row("elements behind more than 60 A", "EL-10 unit", "fail", (say(DEVICE, "70 A"),)),
    Row("where the NEC does not govern", "EL-10 unit", "not applicable", (IEC,)),
    Row("no kit", "EL-10 unit", "not applicable", (say("identity.kit", "none"),)),
    Row(
        "above 48 A, circuits unknown",
        "EL-10 unit",
        "not applicable",
        equipment=with_kit(power=15000.0, circuit=()),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_electrical(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


@pytest.mark.parametrize("row", CIRCUITS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_circuits(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_a_told_grounding_path_locks_nothing() -> None:
    """Only a hold guards."""
    assert found(say(GROUND, "0.8 ohm"))["EL-13 unit"].guards == ()
    assert found(say(GROUND, "1.2 ohm"))["EL-13 unit"].guards == ("loads on",)


def test_a_device_too_small_locks_nothing_and_one_too_large_locks_heat() -> None:
    """Too small trips; too large does not protect."""
    assert found(say(DEVICE, "50 A"))["EL-8 circuit.1"].guards == ()
    assert found(say(DEVICE, "70 A"))["EL-8 circuit.1"].guards == ("energising heat",)


def test_acknowledgements_say_what_is_acknowledged() -> None:
    """In words that a person can answer for."""
    findings = found()
    assert findings["EL-1 unit"].verdict == "not applicable"
    off = found(happens("powered", state="off"))
    assert "stored energy" in off["EL-1 unit"].do
    assert "lock" in off["EL-19 unit"].do
    assert not off["EL-1 unit"].mendable


def test_a_stages_working_can_be_repeated_by_hand() -> None:
    """(43.0 - 23.2) A over 4700 W x (238/240)^2 / 238 V."""
    finding = found()["EL-15 stage.2"]
    assert finding.value == pytest.approx(100 * (43.0 - 23.2) / (4700 * (238 / 240) ** 2 / 238), rel=1e-9)
    assert finding.working == "(43.00 - 23.20) A / 19.42 A at 238.0 V = 102.0 %"
