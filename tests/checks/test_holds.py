"""What an open hold locks, what a waiver lets pass, and what a repair makes stale."""

from __future__ import annotations

import pytest

from asleft.checks.finding import ACTS
from asleft.session.parts import default_parts, parts_of, reaches, table
from checks.visits import (
    BLOWER,
    HEAT,
    IDLE,
    ISOLATED,
    Change,
    all_of,
    choose,
    found,
    happens,
    judged,
    line_volts,
    never,
    on_three_phases,
    say,
    use,
    visit,
    with_kit,
    with_part,
)

LINE, LOADED = "electrical.line.l1_l2", "electrical.loaded.l1_l2"
SUPPLY, RETURN = "blower.static.supply", "blower.static.return"
HEAT_SUPPLY, HEAT_RETURN = "heat.static.supply", "heat.static.return"
DEVICE, GROUND = "electrical.circuit.1.device", "electrical.ground.resistance"
OFF = happens("powered", state="off")
SPOILT = say("electrical.control.loaded", "20.9 V")
LITTLE_AIR = with_kit(least_airflow_in={"upflow": 1300 * 4.719474432e-4})
COOL = with_part("limits", leaving_air=(105 - 32) / 1.8)

# Each hold told open, and the acts that it then locks.
OPEN: dict[str, tuple[tuple[Change, ...], object, tuple[str, ...]]] = {
    "ID-3 unit": ((say("identity.orientation", "sideways"),), None, ("enabling heat",)),
    "ID-4 unit": ((say("identity.kit", "HK999"),), None, ("energising heat",)),
    "EL-1 unit": ((OFF,), None, ("hands inside",)),
    "EL-25 unit": ((OFF,), None, ("hands inside", "recording isolation")),
    "EL-2 unit": ((say(LINE, "208 V"),), None, ("loads on",)),
    "EL-4 leg.l2": ((say("electrical.line.l2_ground", "2 V"),), None, ("loads on",)),
    "EL-5 unit": (line_volts("226 V", "240 V", "254 V"), on_three_phases(motor=3), ("loads on",)),
    "EL-8 circuit.1": ((say(DEVICE, "70 A"),), None, ("energising heat",)),
    "EL-9 circuit.1": (
        (say("electrical.circuit.1.conductor", "8 AWG"),),
        None,
        ("energising heat",),
    ),
    "EL-10 unit": ((say(DEVICE, "70 A"),), None, ("energising heat",)),
    "EL-13 unit": ((say(GROUND, "1.2 ohm"),), None, ("loads on",)),
    "EL-18 unit": ((use("meter", "new", ("voltage 1 %",)),), None, ("live readings",)),
    "EL-19 unit": ((OFF,), None, ("power on", "loads on")),
    "EL-22 circuit.1": (
        (say("electrical.circuit.1.no_call.l1", "20 A"),),
        None,
        ("signing as commissioned",),
    ),
    "BL-11 unit.predicted": ((), LITTLE_AIR, ("enabling heat",)),
    "BL-11 unit.measured": ((), LITTLE_AIR, ("signing as commissioned",)),
    "BL-16 unit": ((say("blower.zoned", "yes"),), None, ("signing as commissioned",)),
    "HS-5 unit.predicted": ((), COOL, ("enabling heat",)),
    "HS-5 stage.2.measured": ((), COOL, ("signing as commissioned",)),
    "HS-10 unit": ((say("heat.path.defrost", "no"),), None, ("signing as commissioned",)),
    "SO-2 unit": ((SPOILT,), None, ("signing as commissioned",)),
    "SO-3 unit": ((SPOILT,), None, ("signing as not commissioned",)),
    "SO-6 unit": ((OFF,), None, ("signing as commissioned",)),
}


@pytest.mark.parametrize("key", OPEN)
def test_an_open_hold_locks_its_acts_and_no_others(key: str) -> None:
    """A hold that does not release names what stays locked."""
    changes, equipment, acts = OPEN[key]
    finding = found(*changes, equipment=equipment)[key]  # type: ignore[arg-type]
    assert finding.severity == "hold"
    assert not finding.releases
    assert finding.open
    assert finding.guards == acts


@pytest.mark.parametrize("key", OPEN)
def test_nobody_waives_a_hold(key: str) -> None:
    """Whatever reason and name stand beside it."""
    changes, equipment, _ = OPEN[key]
    id, _, subject = key.partition(" ")
    waive = happens("waived", id=id, subject=subject, why="the owner insists")
    finding = found(*changes, waive, equipment=equipment)[key]  # type: ignore[arg-type]
    assert not finding.waived
    assert finding.open


def test_every_hold_is_among_them() -> None:
    """A new hold has to be proved here too."""
    told = {key.split()[0] for key in OPEN}
    assert told == {f.id for f in found().values() if f.severity == "hold"}


@pytest.mark.parametrize("act", ACTS)
def test_in_a_healthy_visit_nothing_is_locked(act: str) -> None:
    """Not even signing, and power off locks only what needs an acknowledgement first."""
    assert [f.key for f in found().values() if act in f.guards and not f.releases] == []


def test_with_power_off_hands_power_on_and_the_signature_wait_for_an_acknowledgement() -> None:
    """Readings taken before stay taken; nobody signs for a unit that is off."""
    held = [f for f in found(OFF).values() if not f.releases]
    locked = {act: {f.key for f in held if act in f.guards} for f in held for act in f.guards}
    assert locked == {
        "hands inside": {"EL-1 unit", "EL-25 unit"},
        "recording isolation": {"EL-25 unit"},
        "power on": {"EL-19 unit"},
        "loads on": {"EL-19 unit"},
        "signing as commissioned": {"SO-2 unit", "SO-6 unit"},
        "signing as not commissioned": {"SO-3 unit"},
    }


def test_isolation_lapses_at_every_power_on_and_clearing_at_every_power_off() -> None:
    """Each is asked again; readiness for live readings is not."""
    twice = (OFF, happens("acknowledged", id="EL-1"), happens("powered", state="on"), OFF)
    findings = found(*twice)
    assert findings["EL-1 unit"].verdict == "not measured"
    assert findings["EL-19 unit"].verdict == "not measured"
    assert findings["EL-18 unit"].verdict == "pass"


@pytest.mark.parametrize(
    ("change", "key"),
    [
        (say(DEVICE, "50 A"), "EL-8 circuit.1"),
        (say(GROUND, "0.8 ohm"), "EL-13 unit"),
    ],
    ids=["a device too small", "a poor grounding path"],
)
def test_a_finding_of_a_milder_value_locks_nothing(change: Change, key: str) -> None:
    """It guards only while its severity is hold."""
    finding = found(change)[key]
    assert finding.failed
    assert finding.severity != "hold"
    assert finding.guards == ()


# ---- waivers

# A failed correct, and everything that it rests on: whatever of it is told anew asks again.
RESTS_ON: dict[str, tuple[Change, tuple[Change, ...]]] = {
    "ID-1 unit": (say("identity.model", "Other"), (say("identity.model", "Another"),)),
    "ID-6 unit": (say("identity.address.unit", "2"), (say("identity.address.system", "0"),)),
    "ID-8 unit": (
        say("identity.outdoor_capacity", "33000 Btu/h"),
        (say("identity.outdoor_capacity", "33000 Btu/h"), say("identity.outdoor", "fellgate-36")),
    ),
    "EL-6 unit.loaded": (SPOILT, (SPOILT,)),
    "EL-8 circuit.1": (
        say(DEVICE, "50 A"),
        (say(DEVICE, "50 A"), say("identity.kit", "cedar"), say("identity.code", "NEC 2020")),
    ),
    "EL-14 unit": (say(LOADED, "205 V"), (say(LOADED, "206 V"), say("identity.supply", "240"))),
    "EL-15 stage.2": (
        say("electrical.stage.2.current", "23.2 A"),
        (
            say("electrical.stage.2.current", "23.2 A"),
            say("electrical.stage.2.voltage", "238 V"),
            say("electrical.stage.1.current", "23.2 A"),
            say("identity.kit", "cedar"),
        ),
    ),
    "BL-1 unit": (say("blower.design_airflow", "1600 cfm"), (say("blower.design_airflow", "1600 cfm"),)),
    "BL-4 unit": (say(SUPPLY, "-0.24 inH2O"), (say(SUPPLY, "-0.24 inH2O"), say(RETURN, "-0.24 inH2O"))),
    "BL-5 tier.firm.measured": (say(SUPPLY, "0.70 inH2O"), (say(RETURN, "-0.24 inH2O"),)),
    "BL-7 unit": (
        say("blower.design_airflow", "1700 cfm"),
        (
            say("blower.design_airflow", "1700 cfm"),
            say(SUPPLY, "0.36 inH2O"),
            choose("tier", "firm"),
            say("identity.altitude", "310 ft"),
        ),
    ),
    "BL-9 unit": (
        say("blower.design_airflow", "1700 cfm"),
        (
            say("blower.design_airflow", "1700 cfm"),
            say(RETURN, "-0.24 inH2O"),
            choose("tier", "firm"),
            say("identity.altitude", "310 ft"),
        ),
    ),
    "BL-15 unit": (
        say("blower.ready.filter_in", "no"),
        (say("blower.ready.coil", "wet"), say(SUPPLY, "0.36 inH2O")),
    ),
    "HS-1 unit": (choose("auxiliary", "off"), (choose("auxiliary", "off"), say("identity.kit", "cedar"))),
    "HS-2 unit": (
        choose("lockout", "f-25"),
        (
            choose("lockout", "f-25"),
            say("heat.design_load", "40000 Btu/h"),
            say("heat.design_temperature", "5 F"),
            say("heat.zero_load_temperature", "65 F"),
            say("identity.outdoor", "fellgate-36"),
        ),
    ),
    "HS-3 unit": (
        choose("auxiliary", "first"),
        (
            choose("auxiliary", "first"),
            say("heat.design_load", "40000 Btu/h"),
            say("heat.zero_load_temperature", "65 F"),
            say(LOADED, "238 V"),
        ),
    ),
    "HS-6 unit": (
        say("heat.stage.2.leaving_air", "99 F"),
        (
            say("heat.stage.2.return_air", "70 F"),
            say(HEAT_SUPPLY, "0.370 inH2O"),
            say(LOADED, "238 V"),
            say("identity.altitude", "310 ft"),
        ),
    ),
    "TD-1 unit": (choose("delay", "min-99"), (choose("delay", "min-98"),)),
    "TD-2 unit": (
        choose("delay", "min-28"),
        (
            choose("delay", "min-28"),
            say("delay.floor_area", "2000 ft2"),
            say("delay.construction", "medium"),
            say("delay.droop_limit", "2 delta_degF"),
            say("heat.zero_load_temperature", "65 F"),
            say("heat.design_temperature", "5 F"),
        ),
    ),
    "SQ-2 setting.trail@unit": (
        happens("wrote", setting="trail", address="unit", shown="180"),
        (happens("wrote", setting="trail", address="unit", shown="180"),),
    ),
    "SQ-3 setting.trail@unit": (
        happens("read_back", setting="trail", address="unit", shown="60"),
        (happens("read_back", setting="trail", address="unit", shown="60"),),
    ),
    "SQ-4 setting.waking@unit": (
        happens("read_back", setting="waking", address="unit", shown="carry on"),
        (happens("read_back", setting="waking", address="unit", shown="carry on"),),
    ),
}
AGAIN = [(key, n) for key, (_, anew) in RESTS_ON.items() for n in range(len(anew))]


def waived(key: str) -> Change:
    """A waiver of this finding."""
    id, _, subject = key.partition(" ")
    return happens("waived", id=id, subject=subject, why="agreed with the office")


@pytest.mark.parametrize("key", RESTS_ON)
def test_a_correct_is_waived_until_something_it_does_not_rest_on_changes_nothing(key: str) -> None:
    """It is open, then it is not, and a note or a stranger's reading leaves it so."""
    failing, _ = RESTS_ON[key]
    assert found(failing)[key].open
    stranger = (happens("noted", text="rain"), say("identity.serial", "LM36-31C-00413"))
    finding = found(failing, waived(key), *stranger)[key]
    assert finding.failed
    assert finding.waived
    assert not finding.open


@pytest.mark.parametrize(("key", "n"), AGAIN)
def test_a_waiver_lapses_when_what_the_finding_rests_on_is_told_anew(key: str, n: int) -> None:
    """Even where it is told the same once more."""
    failing, anew = RESTS_ON[key]
    finding = found(failing, waived(key), anew[n])[key]
    assert not finding.waived
    assert finding.open != finding.releases


# ---- what a repair makes stale

OTHER_STATICS = (say(SUPPLY, "0.56 inH2O"), say(RETURN, "-0.40 inH2O"))
IDLE_LEGS = ("electrical.circuit.1.no_call.l1", "electrical.circuit.1.no_call.l2")
CALLED_LEGS = tuple(f"electrical.circuit.1.called.{leg}" for leg in ("l1", "l2", "both"))
CONDUCTOR = tuple(
    f"electrical.circuit.1.{what}"
    for what in ("conductor", "material", "insulation", "ambient", "conductors")
)
FIELDS: dict[str, tuple[tuple[Change, ...], object, set[str]]] = {
    "EL-2 unit": ((say(LINE, "208 V"),), None, {LINE}),
    "EL-4 leg.l2": (
        (say("electrical.line.l2_ground", "2 V"),),
        None,
        {LINE, "electrical.line.l2_ground"},
    ),
    "EL-6 unit.idle": ((say("electrical.control.idle", "20 V"),), None, {"electrical.control.idle"}),
    "EL-6 unit.loaded": ((SPOILT,), None, {"electrical.control.loaded"}),
    "EL-8 circuit.1": ((say(DEVICE, "70 A"),), None, {DEVICE}),
    "EL-9 circuit.1": ((say("electrical.circuit.1.conductor", "8 AWG"),), None, {DEVICE, *CONDUCTOR}),
    "EL-10 unit": ((say(DEVICE, "70 A"),), None, {DEVICE}),
    "EL-13 unit": ((say(GROUND, "1.2 ohm"),), None, {GROUND}),
    "EL-14 unit": ((say(LOADED, "205 V"),), None, {LOADED}),
    "EL-15 stage.1": (
        (say("electrical.stage.1.current", "3.3 A"),),
        None,
        {"electrical.stage.1.voltage", "electrical.stage.1.current", "electrical.blower.current"},
    ),
    "EL-15 stage.2": (
        (say("electrical.stage.2.current", "23.2 A"),),
        None,
        {"electrical.stage.2.voltage", "electrical.stage.2.current", "electrical.stage.1.current"},
    ),
    "EL-22 circuit.1": ((say(IDLE_LEGS[0], "20 A"),), None, {*IDLE_LEGS, *CALLED_LEGS}),
    "BL-4 unit": ((say(RETURN, "0.24 inH2O"),), None, {SUPPLY, RETURN}),
    "BL-5 tier.firm.measured": (OTHER_STATICS, None, {SUPPLY, RETURN}),
    "BL-9 unit": (OTHER_STATICS, None, {SUPPLY, RETURN}),
    "BL-11 unit.predicted": ((), LITTLE_AIR, {SUPPLY, RETURN}),
    "BL-11 unit.measured": ((), LITTLE_AIR, {HEAT_SUPPLY, HEAT_RETURN}),
    "HS-5 unit.predicted": ((), COOL, {SUPPLY, RETURN}),
    "HS-5 stage.2.measured": ((), COOL, {"heat.stage.2.leaving_air", HEAT_SUPPLY, HEAT_RETURN}),
    "HS-6 unit": (
        (say("heat.stage.2.leaving_air", "99 F"),),
        None,
        {"heat.stage.2.return_air", "heat.stage.2.leaving_air", HEAT_SUPPLY, HEAT_RETURN, LOADED},
    ),
    "HS-10 unit": (
        (say("heat.path.defrost", "no"),),
        None,
        {f"heat.path.{p}" for p in ("normal", "defrost", "emergency", "lost_communication")},
    ),
    "BL-15 unit": (
        (say("blower.ready.panels_on", "no"),),
        None,
        {
            SUPPLY,
            RETURN,
            "blower.open_port",
            *(f"blower.ready.{r}" for r in ("filter_in", "panels_on", "registers_open", "coil")),
        },
    ),
}


@pytest.mark.parametrize("key", FIELDS)
def test_a_repair_asks_again_for_exactly_the_readings_that_it_may_have_changed(key: str) -> None:
    """Its own, and those in the reach of the part; facts of the job, which no repair changes, are neither."""
    changes, equipment, fields = FIELDS[key]
    job = visit(*changes, equipment=equipment)  # type: ignore[arg-type]
    finding = judged(job)[key]
    assert finding.failed
    assert set(map(str, finding.needs)) == fields
    assert len(finding.needs) == len(fields)
    job.event("noted", text="mended", mends=key, affects=list(map(str, finding.needs)))
    parts = default_parts(finding.name, parts_of(job.ledger.fields))
    reached = {
        id
        for id in job.ledger.fields
        if any(reaches(part, id) for part in parts) and job.ledger.state.latest(id) is not None
    }
    assert reached or finding.id in table().own_readings
    asked = fields | reached
    assert {id for id, f in job.ledger.fields.items() if job.ledger.stale(id) and not f.closing} == asked
    after = judged(job)
    assert after[key].verdict == "not measured"
    assert set(after["SO-1 unit"].fields) == asked


@pytest.mark.parametrize("key", ["BL-9 unit", "BL-11 unit.measured"])
def test_a_rise_from_before_a_repair_stands_in_for_no_static(key: str) -> None:
    """The ducts were mended: what the air carried before says nothing of what they let through now."""
    statics = (SUPPLY, RETURN) if key.startswith("BL-9") else (HEAT_SUPPLY, HEAT_RETURN)
    mend = happens("noted", text="filter changed", mends=key, affects=list(statics))
    finding = found(mend)[key]
    assert finding.verdict == "not measured"
    assert finding.fields == statics


def test_mended_and_taken_again_it_passes() -> None:
    """And nothing is left to take."""
    job = visit(say("electrical.stage.2.current", "23.2 A"))
    fields = judged(job)["EL-15 stage.2"].fields
    job.event("noted", text="element", mends="EL-15 stage.2", affects=list(fields))
    again = [id for id in job.ledger.fields if job.ledger.stale(id)]
    assert set(fields) < set(again)
    assert "heat.minute.10.current" in again
    all_of({id: healthy for id, healthy in (IDLE | ISOLATED | BLOWER | HEAT).items() if id in again})(job)
    findings = judged(job)
    assert findings["EL-15 stage.2"].verdict == "pass"
    assert findings["SO-1 unit"].verdict == "pass"


def test_what_is_missing_is_named_and_nothing_else_of_the_job() -> None:
    """A fact of the job is asked for only while nobody told it."""
    assert found(never("identity.code"))["EL-8 circuit.1"].fields == ("identity.code",)
    assert "identity.code" not in found()["EL-8 circuit.1"].fields
