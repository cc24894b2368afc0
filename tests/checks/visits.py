"""One healthy visit, told once; each test tells a small part of it otherwise."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from asleft import checks
from asleft.checks import Finding
from asleft.equipment.model import Equipment
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.quantity import parse
from asleft.sequence import Step, plan
from asleft.session.fields import Field, Situation, applicable, questions
from support import Told, demo_unit

Change = Callable[[Told], Any]

FACTS = {
    "identity.model": "Lowmoor LM36E",
    "identity.serial": "LM36-31C-00412",
    "identity.orientation": "upflow",
    "identity.supply": "240",
    "identity.system": "split",
    "identity.kit": "cedar",
    "identity.outdoor": "fellgate-36",
    "identity.outdoor_capacity": "36000 Btu/h",
    "identity.address.system": "0",
    "identity.address.unit": "1",
    "identity.altitude": "300 ft",
    "identity.code": "NEC 2023",
    "electrical.disconnect.lockable": "yes",
    "electrical.circuit.1.length": "40 ft",
    "blower.design_airflow": "1200 cfm",
    "blower.ducts.new": "yes",
    "blower.ducts.design": "yes",
    "blower.ducts.static": "0.55 inH2O",
    "blower.ducts.losses": "0.20 inH2O",
    "blower.ducts.effective_length": "350 ft",
    "blower.zoned": "no",
    "blower.filter.width": "32 in",
    "blower.filter.height": "25 in",
    "blower.filter.final_drop": "0.25 inH2O",
    "heat.design_load": "40000 Btu/h",
    "heat.design_temperature": "5 F",
    "delay.floor_area": "2000 ft2",
    "delay.construction": "medium",
    "delay.differential": "0.2 F",
}
ISOLATED = {
    "electrical.circuit.1.device": "60 A",
    "electrical.circuit.1.conductor": "6 AWG",
    "electrical.circuit.1.material": "copper",
    "electrical.circuit.1.insulation": "75",
    "electrical.circuit.1.ambient": "86 F",
    "electrical.circuit.1.conductors": "2",
    "electrical.circuit.1.locked.l1_ground": "0.1 V",
    "electrical.circuit.1.locked.l2_ground": "0.0 V",
    "electrical.circuit.1.tightened": "yes",
    "electrical.ground.resistance": "0.20 ohm",
    "electrical.control.added": "0 VA",
    "electrical.insulation.electronics_off": "yes",
    "electrical.stage.1.to_frame": "80 Mohm",
    "electrical.stage.2.to_frame": "90 Mohm",
}
IDLE = {
    "electrical.clamp.true_rms": "yes",
    "electrical.line.l1_l2": "240.0 V",
    "electrical.line.l1_ground": "120.0 V",
    "electrical.line.l2_ground": "120.0 V",
    "electrical.control.idle": "25.5 V",
    "electrical.circuit.1.no_call.l1": "0.05 A",
    "electrical.circuit.1.no_call.l2": "0.05 A",
    "blower.open_port": "0.00 inH2O",
    "blower.ready.filter_in": "yes",
    "blower.ready.panels_on": "yes",
    "blower.ready.registers_open": "yes",
    "blower.ready.coil": "dry",
    "heat.outdoor.reference": "30.2 F",
    "heat.outdoor.shown": "30 F",
    "heat.outdoor.cut_out": "-4 F",
    "heat.room.reference": "70.1 F",
    "heat.room.shown": "70 F",
}
BLOWER_AS_FOUND = {
    "electrical.blower.current": "2.9 A",
    "blower.static.supply": "0.315 inH2O",
    "blower.static.return": "-0.210 inH2O",
    "blower.static.filter": "0.085 inH2O",
}
BLOWER = {
    "electrical.blower.current": "3.3 A",
    "blower.static.supply": "0.360 inH2O",
    "blower.static.return": "-0.240 inH2O",
    "blower.static.filter": "0.095 inH2O",
}
HEAT = {
    "electrical.stage.1.voltage": "239.0 V",
    "electrical.stage.1.current": "23.2 A",
    "electrical.stage.2.voltage": "238.0 V",
    "electrical.stage.2.current": "43.0 A",
    "electrical.loaded.l1_l2": "238.0 V",
    "electrical.control.loaded": "24.4 V",
    "electrical.circuit.1.called.l1": "43.0 A",
    "electrical.circuit.1.called.l2": "42.9 A",
    "electrical.circuit.1.called.both": "0.05 A",
    "heat.stage.1.return_air": "70.0 F",
    "heat.stage.1.leaving_air": "83.6 F",
    "heat.stage.2.return_air": "70.0 F",
    "heat.stage.2.leaving_air": "96.0 F",
    "heat.static.supply": "0.370 inH2O",
    "heat.static.return": "-0.245 inH2O",
    "heat.path.normal": "yes",
    "heat.path.defrost": "yes",
    "heat.path.emergency": "yes",
    "heat.path.lost_communication": "yes",
    "heat.heat_pump.return_air": "70.0 F",
    "heat.heat_pump.leaving_air": "89.4 F",
    "heat.emergency.compressor_off": "yes",
    "heat.emergency.every_stage": "yes",
    "heat.emergency.at_once": "yes",
    "heat.emergency.heating_speed": "yes",
    **{f"heat.minute.{n}.current": "43.0 A" if n < 5 else "42.8 A" for n in range(1, 11)},
    "heat.defrost.came_on": "yes",
    "heat.defrost.went_off": "yes",
}
CLOSING = {
    "signoff.cleared": "yes",
    "signoff.holes_plugged": "yes",
    "signoff.owner_shown": "yes",
    "signoff.directory": "yes",
}
INSTRUMENTS = {
    "meter": ("meter-1", ("voltage 0.5 % + 2 x 0.1 V", "resistance 1 % + 2 x 0.01 ohm")),
    "clamp": ("clamp-1", ("current 0.5 % + 1 x 0.01 A",)),
    "manometer": ("manometer-1", ("static_pressure 1 % + 1 x 0.002 inH2O",)),
    "thermometer": ("thermometer-1", ("temperature 0.5 degC",)),
}


@cache
def _usual_fields() -> Mapping[str, Field]:
    """What kind a field is does not change with the visit: the demo unit's fields as it mostly stands."""
    kit, outdoor = FACTS["identity.kit"], FACTS["identity.outdoor"]
    situation = Situation(
        orientation="upflow", kit=kit, supply="240", outdoor=outdoor, code="IEC 60364", yes=questions()
    )
    return applicable(demo_unit(), situation)


def say(field: str, typed: str) -> Change:
    """A field entered as a person types it, read by the field's kind."""

    def told(job: Told) -> None:
        known = _usual_fields().get(field) or job.ledger.fields.get(field)
        kind = known.kind if known else "text"
        used = job.state.instrument(known.instrument) if known and known.instrument else None
        value: Any = typed
        more: dict[str, Any] = {"instrument": used.instrument} if used else {}
        if kind == "yes_no":
            value = typed == "yes"
        elif kind == "count":
            value = int(typed)
        elif kind not in ("text", "choice", "conductor_size"):
            quantity = parse(typed, kind)
            value = quantity.value
            if len(quantity.readings) > 1:
                more["readings"] = list(quantity.readings)
            if quantity.plus_minus is not None:
                more["plus_minus"] = quantity.plus_minus
        job.event("entered", field=field, typed=typed, value=value, **more)

    return told


def all_of(fields: dict[str, str]) -> Change:
    """Several fields, in order."""

    def told(job: Told) -> None:
        for field, typed in fields.items():
            say(field, typed)(job)

    return told


def never(*fields: str) -> Change:
    """Fields as if they had never been entered."""

    def told(job: Told) -> None:
        for field in fields:
            entries = job.state.entries[field]
            for entry in entries:
                job.event("retracted", of=entry.n, why="not in this visit")

    return told


def undone(kind: str, **data: str) -> Change:
    """Every event of a kind with these keys as if it had never happened."""

    def told(job: Told) -> None:
        for event in job.state.history:
            keys = event.written()
            if event.kind == kind and all(keys.get(k) == v for k, v in data.items()):
                job.event("retracted", of=event.n, why="not in this visit")

    return told


def happens(kind: str, **data: Any) -> Change:
    """Any other event."""
    return lambda job: job.event(kind, **data)


def choose(topic: str, option: str) -> Change:
    """An option taken."""
    return happens("chose", topic=topic, option=option)


def use(role: str, id: str, accuracy: tuple[str, ...], until: str = "2033-01-31") -> Change:
    """An instrument taken into use."""
    return happens(
        "used",
        field=f"identity.instrument.{role}",
        instrument=id,
        name=f"The {role}",
        accuracy=list(accuracy),
        calibrated_until=until,
    )


def obey(job: Told, step: Step) -> None:
    """Do what a step of the plan says."""
    if step.do == "power":
        job.event("powered", state=step.value)
        return
    code = job.equipment.code_of(step.setting, step.value)
    kind = {"look": "found", "write": "wrote", "read_back": "read_back"}[step.do]
    job.event(kind, setting=step.setting, address=step.address, shown=code.shown if code else step.value)


def carry_out(job: Told) -> None:
    """The plan to its end."""
    for _ in range(100):
        step = next((s for s in plan(job.ledger) if s.pending and s.ready), None)
        if step is None:
            return
        obey(job, step)
    raise AssertionError("the plan does not end")


def choose_recommended(job: Told) -> None:
    """Every topic's recommendation, until none is open."""
    for _ in range(3):
        ledger = job.ledger
        for id, outlook in forecast(ledger, estimate(ledger)).topics.items():
            if outlook.recommended and id not in job.state.choices:
                job.event("chose", topic=id, option=outlook.recommended)


def prove_dead(job: Told) -> None:
    """Every point dead, by a tester tried before and after."""
    passing = [f for f in job.ledger.fields.values() if f.passing and not f.optional]
    said = {"choice": "two-pole tester", "yes_no": "yes", "voltage": "0.1 V"}
    all_of({f.id: said[f.kind] for f in passing})(job)


def tell(facts: dict[str, str] | None = None, equipment: Equipment | None = None) -> Told:
    """A healthy visit from nothing."""
    job = Told(equipment or demo_unit())
    all_of(facts or FACTS)(job)
    for role, (id, accuracy) in INSTRUMENTS.items():
        use(role, id, accuracy)(job)
    job.event("powered", state="off")
    prove_dead(job)
    job.event("acknowledged", id="EL-1")
    all_of({f: v for f, v in ISOLATED.items() if f in job.ledger.fields})(job)
    job.event("acknowledged", id="EL-19")
    job.event("powered", state="on")
    job.event("acknowledged", id="EL-18")
    all_of({f: v for f, v in IDLE.items() if f in job.ledger.fields})(job)
    job.found_all(silent_line="rest")
    all_of(BLOWER_AS_FOUND)(job)
    choose_recommended(job)
    carry_out(job)
    job.event("acknowledged", id="EL-19")
    all_of(BLOWER)(job)
    all_of({f: v for f, v in HEAT.items() if f in job.ledger.fields})(job)
    all_of(CLOSING)(job)
    return job


@cache
def _healthy() -> Told:
    return tell()


def judged(job: Told) -> dict[str, Finding]:
    """Every finding by its key."""
    ledger = job.ledger
    known = estimate(ledger)
    found = checks.run(ledger, known, forecast(ledger, known), plan(ledger))
    return {f.key: f for f in found}


def visit(*changes: Change, equipment: Equipment | None = None) -> Told:
    """The healthy visit, told otherwise here and there."""
    job = Told(equipment or demo_unit())
    job.state = _healthy().state
    for change in changes:
        change(job)
    return job


@cache
def _found_healthy() -> dict[str, Finding]:
    return judged(visit())


def found(*changes: Change, equipment: Equipment | None = None) -> dict[str, Finding]:
    """What the checks find in it."""
    if not changes and equipment is None:
        return dict(_found_healthy())
    return judged(visit(*changes, equipment=equipment))


@dataclass(frozen=True)
class Row:
    """One behaviour: what is told otherwise, and the verdict that it must give."""

    behaviour: str
    key: str
    verdict: str
    changes: tuple[Change, ...] = ()
    equipment: Equipment | None = None
    severity: str = ""
    says: str = ""
    fields: tuple[str, ...] = ()

    def prove(self) -> Finding:
        """Assert it, and give the finding."""
        findings = found(*self.changes, equipment=self.equipment)
        assert self.key in findings, [k for k in findings if k.startswith(self.key.split()[0] + " ")]
        finding = findings[self.key]
        assert finding.verdict == self.verdict, finding
        if self.severity:
            assert finding.severity == self.severity, finding
        assert self.says in finding.text, finding.text
        assert set(self.fields) <= set(map(str, finding.needs)), finding.needs
        return finding


def with_kit(equipment: Equipment | None = None, **update: Any) -> Equipment:
    """The demo unit, something about its kits otherwise."""
    unit = equipment or demo_unit()
    return unit.model_copy(update={"heater": tuple(h.model_copy(update=update) for h in unit.heater)})


def with_part(part: str, **update: Any) -> Equipment:
    """The demo unit, something about one part otherwise."""
    unit = demo_unit()
    return unit.model_copy(update={part: getattr(unit, part).model_copy(update=update)})


def with_circuit(**update: Any) -> Equipment:
    """The demo unit, something about every circuit of its kits otherwise."""
    unit = demo_unit()
    kits = tuple(
        h.model_copy(update={"circuit": tuple(c.model_copy(update=update) for c in h.circuit)})
        for h in unit.heater
    )
    return unit.model_copy(update={"heater": kits})


def on_three_phases(motor: int = 1, connection: str = "delta") -> Equipment:
    """The demo unit on three phases: cedar is 2 x 4.7 kW in delta, 11.31 A a stage in each line at 240 V."""
    unit = demo_unit()
    kits = tuple(
        kit.model_copy(
            update={
                "phases": 3,
                "stage": tuple(
                    s.model_copy(update={"elements": 3, "connection": connection}) for s in kit.stage
                ),
            }
        )
        for kit in unit.heater
    )
    supply = tuple(s.model_copy(update={"phases": 3}) for s in unit.supply)
    blower = unit.blower.model_copy(update={"phases": motor})
    return unit.model_copy(update={"supply": supply, "heater": kits, "blower": blower})


def line_volts(l1_l2: str, l2_l3: str, l3_l1: str) -> tuple[Change, ...]:
    """Three line voltages, heat off."""
    pairs = {"l1_l2": l1_l2, "l2_l3": l2_l3, "l3_l1": l3_l1}
    return tuple(say(f"electrical.line.{pair}", typed) for pair, typed in pairs.items())


def without_kits() -> Equipment:
    """A unit that takes no heater kit."""
    return demo_unit().model_copy(update={"heater": ()})


NO_KIT = (say("identity.kit", "none"),)
KIT_UNSAID = (never("identity.kit"),)
