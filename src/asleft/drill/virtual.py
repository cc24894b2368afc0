"""The virtual unit: answers every instrument and every setting of an invented site, one request at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from random import Random
from typing import TYPE_CHECKING, Any

from asleft.calc import instrument_uncertainty
from asleft.drill.fitted import metric
from asleft.drill.keypad import Keypad
from asleft.equipment.accuracy import parse_accuracy
from asleft.equipment.library import instruments
from asleft.installation.behave import Truth, behave
from asleft.installation.memory import Memory, as_found, cycled, store
from asleft.quantity import LARGE_DIGITS, larger_unit, to_unit, unit_of
from asleft.sequence.guards import power_of_field
from asleft.session.fields import Field, applicable
from asleft.session.timed import after_s

if TYPE_CHECKING:
    from asleft.drill.site import Site
    from asleft.equipment.model import Equipment, Instrument, Setting

WITHIN = 0.6
"""Readings scatter over this part of an instrument's limit, as those of good instruments do."""

_SHOWN = {
    "ip": {
        "voltage": ("V", 1),
        "current": ("A", 2),
        "resistance": ("ohm", 2),
        "static_pressure": ("in. w.c.", 3),
        "temperature": ("°F", 1),
    },
    "si": {
        "voltage": ("V", 1),
        "current": ("A", 2),
        "resistance": ("ohm", 2),
        "static_pressure": ("Pa", 1),
        "temperature": ("°C", 1),
    },
}
"""Unit and decimals on the display of the instruments that people carry there."""

_MAGNITUDES = frozenset({"voltage", "current", "resistance"})

Reply = dict[str, Any]


class VirtualUnit:
    """A unit that a rig speaks for. The same seed and the same questions give the same answers."""

    def __init__(self, equipment: Equipment, site: Site, seed: int) -> None:
        self._equipment, self._site, self._seed = equipment, site, seed
        self._memory = as_found(site.installation, site.settings)
        self._keypad = Keypad(equipment)
        self._power = "on"
        self._reads: dict[str, int] = {}
        # Who looks sees the kit that is there, whatever the papers promise.
        self._typed = {**site.job, "identity.kit": site.installation.kit or "none"}
        situation = site.situation
        self._fields = applicable(equipment, situation)
        supply = equipment.supply_of(situation.supply) or equipment.supply[0]
        self._units = "si" if metric(supply) else "ip"
        self._instruments: dict[str, Instrument] = {i.id: i for i in instruments()}

    @property
    def settings(self) -> Mapping[tuple[str, str], str]:
        """What is stored, by setting and address."""
        return dict(self._memory.stored)

    def answer(self, request: Mapping[str, Any]) -> Reply:
        """The answer to one request; what cannot be answered is refused with a reason."""
        answers: Mapping[str, Callable[[Mapping[str, Any]], Reply]] = {
            "read": self._read,
            "look": self._look,
            "write": self._write,
            "code": self._code,
            "power": self._switch,
            "mend": self._mend,
            "resume": self._resume,
        }
        found = answers.get(str(request.get("do")))
        if found is None:
            return _refused(f"{request.get('do')!r} is nothing this unit does")
        return found(request)

    # ---- readings

    def _read(self, request: Mapping[str, Any]) -> Reply:
        field = self._fields.get(str(request.get("field")))
        if field is None:
            return _refused("there is no such thing to read here")
        if not field.state:
            typed = self._left() if field.id == "signoff.made_safe" else self._typed.get(field.id)
            if typed is None:
                return _refused("nobody here knows")
            self._count(field.id)
            return {"typed": typed}
        needed = power_of_field(field)
        if self._power != needed:
            return _refused(f"that is read with power {needed}, and power is {self._power}")
        truth = self._truth(field, request)
        if truth is None:
            return _refused("this unit has nothing to read there")
        times = self._count(field.id)
        if isinstance(truth, bool):
            return {"typed": "yes" if truth else "no"}
        if isinstance(truth, str):
            return {"typed": truth}
        typed = self._reading(field, float(truth), times, str(request.get("instrument", "")))
        due = after_s(field)
        # This unit waits by its own clock until a timed reading is due.
        return {"typed": typed} if due is None else {"typed": typed, "after_s": due}

    def _truth(self, field: Field, request: Mapping[str, Any]) -> Truth | None:
        """What is there to be seen in a field, through the instruments as they are."""
        there = behave(self._site.installation, self._equipment, self._memory.in_force, field.state)
        return there.get(field.id)

    def _left(self) -> str:
        return "isolated" if self._power == "off" else "heat off"

    def _count(self, field: str) -> int:
        self._reads[field] = self._reads.get(field, 0) + 1
        return self._reads[field]

    def _reading(self, field: Field, truth: float, times: int, instrument: str) -> str:
        if field.kind == "count":
            return f"{truth:.0f}"
        if not field.measured:
            unit = unit_of(field.kind, self._units)
            return f"{to_unit(truth, field.kind, unit):.6g} {unit}"
        random = Random(f"{self._seed} {field.id} {times}")
        gain, own = self._limits(field.kind, truth, instrument)
        # An instrument is off by the same part at every reading, and by some counts anew each time.
        always = Random(f"{self._seed} {instrument} {field.kind}").uniform(-1.0, 1.0)
        read = truth + WITHIN * (gain * always + own * random.uniform(-1.0, 1.0))
        if field.kind in _MAGNITUDES:
            read = abs(read)
        unit, decimals = _SHOWN[self._units].get(field.kind, (unit_of(field.kind, self._units), 2))
        if larger := larger_unit(read, field.kind):
            unit, decimals = larger, LARGE_DIGITS
        shown = f"{to_unit(read, field.kind, unit):.{decimals}f}"
        # An instrument shows no sign on zero.
        return f"{shown.removeprefix('-') if not float(shown) else shown} {unit}"

    def _limits(self, kind: str, truth: float, instrument: str) -> tuple[float, float]:
        """How far an instrument may be off: by its gain, and by all else that its accuracy allows."""
        known = self._instruments.get(instrument)
        for line in known.accuracy if known else ():
            accuracy = parse_accuracy(line)
            if accuracy.kind == kind:
                own = instrument_uncertainty(
                    truth, 0.0, accuracy.counts, accuracy.resolution, accuracy.absolute
                ).limit
                return accuracy.percent * abs(truth), own
        return 0.01 * abs(truth), 0.0

    # ---- settings

    def _place(self, request: Mapping[str, Any]) -> tuple[Setting, str] | None:
        setting = self._equipment.setting_of(str(request.get("setting")))
        address = str(request.get("address"))
        return (setting, address) if setting is not None and address in setting.address else None

    def _look(self, request: Mapping[str, Any]) -> Reply:
        place = self._place(request)
        if place is None:
            return _refused("there is no such setting at that address")
        setting, address = place
        if setting.power != self._power:
            return _refused(f"that is seen with power {setting.power}, and power is {self._power}")
        return {"shown": self._shown(setting.id, address)}

    def _shown(self, setting: str, address: str) -> str:
        value = self._memory.stored[setting, address]
        code = self._equipment.code_of(setting, value)
        return code.shown if code else value

    def _write(self, request: Mapping[str, Any]) -> Reply:
        place = self._place(request)
        if place is None:
            return _refused("there is no such setting at that address")
        setting, address = place
        value = str(request.get("value"))
        if setting.entry == "code":
            return _refused("that setting is keyed as a code")
        return self._store(setting, address, value)

    def _store(self, setting: Setting, address: str, value: str) -> Reply:
        if setting.power != self._power:
            return _refused(f"that is set with power {setting.power}, and power is {self._power}")
        if value not in setting.values:
            return _refused(f"it does not take {value!r}")
        self._memory = store(
            self._site.installation, self._equipment, self._memory, setting.id, address, value
        )
        return {"shown": self._shown(setting.id, address)}

    def _code(self, request: Mapping[str, Any]) -> Reply:
        heard = self._keypad.key(str(request.get("address")), str(request.get("code")))
        setting = self._equipment.setting_of(heard.setting) if heard else None
        if heard is None or setting is None:
            return _refused("the control does not take these characters")
        if heard.store is None:
            return self._look({"setting": heard.setting, "address": heard.address})
        return self._store(setting, heard.address, heard.store)

    # ---- the rest

    def _switch(self, request: Mapping[str, Any]) -> Reply:
        state = request.get("state")
        if state not in ("on", "off"):
            return _refused("power is on or off")
        if state == "off":
            self._memory = cycled(self._memory)
            self._keypad.forget()
        self._power = str(state)
        return {"done": True}

    def _mend(self, request: Mapping[str, Any]) -> Reply:
        return _refused("nothing here needs mending")

    def _resume(self, request: Mapping[str, Any]) -> Reply:
        reads, settings = request.get("reads"), request.get("settings")
        if not isinstance(reads, Mapping) or not isinstance(settings, Mapping):
            return _refused("reads and settings must be tables")
        stored: dict[tuple[str, str], str] = {}
        for place, shown in settings.items():
            setting, _, address = str(place).partition("@")
            known = self._place({"setting": setting, "address": address})
            if known is None:
                return _refused(f"{place!r} is no setting here")
            value = self._equipment.value_of(setting, str(shown))
            # Somebody may have misread it; what it never shows, it does not hold.
            if value in known[0].values:
                stored[setting, address] = value
        if not all(type(n) is int and n >= 0 for n in reads.values()):
            return _refused("times read must be whole numbers")
        self._reads = {str(f): int(n) for f, n in reads.items()}
        self._memory = Memory({**self._memory.stored, **stored})
        self._power = "off" if request.get("power") == "off" else "on"
        return {"done": True}


def _refused(why: str) -> Reply:
    return {"refused": why}
