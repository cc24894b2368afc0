"""What every hold rests on, judged from the record by the trade's own table.

A hold is open where what it rests on is missing, was changed since, or lies outside its limit. What lies so
near a limit that two sums may part on it is not held against the program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from fnmatch import fnmatchcase
from functools import cached_property
from math import sqrt
from typing import Any

from walks.absence import absent
from walks.air import predicted
from walks.ampacity import ampacity, largest_device
from walks.lapsing import stands
from walks.paper import CALLED, Event, Record, amount, field

REACH: Mapping[str, tuple[str, ...]] = {
    "EL-2": ("electrical.line.l?_l?",),
    "EL-4": ("electrical.line.{n}_ground",),
    "EL-5": ("electrical.line.l?_l?",),
    "EL-8": ("electrical.circuit.{n}.device",),
    "EL-9": ("electrical.circuit.{n}.conductor",),
    "EL-13": ("electrical.ground.resistance",),
    "EL-15": ("electrical.stage.{n}.current*",),
    "EL-22": ("electrical.circuit.{n}.no_call.*",),
    "EL-26": ("electrical.circuit.{n}.joint.*",),
    "HS-16": ("heat.minute.*",),
}
"""Of a finding that was mended, what surely was read before its repair."""

_HOT_READINGS = ("electrical.stage.*", "electrical.loaded.*", "electrical.circuit.*.called.*")
_HEAT_READINGS = (*_HOT_READINGS, "electrical.circuit.*.loaded.*", "heat.stage.*", "heat.minute.*")
PARTS: Mapping[str, tuple[str, ...]] = {
    "EL-2": ("electrical.line.*", "electrical.control.*", *_HEAT_READINGS, "heat.heat_pump.*"),
    "EL-4": ("electrical.line.*", *_HEAT_READINGS),
    "EL-5": ("electrical.line.*", *_HEAT_READINGS),
    "EL-15": (*_HEAT_READINGS,),
    "EL-22": ("electrical.circuit.{n}.called.*", "electrical.circuit.{n}.no_call.*", "heat.minute.*"),
    "HS-16": (*_HEAT_READINGS,),
    **dict.fromkeys(("BL-5", "BL-7", "BL-9", "BL-11", "HS-5", "HS-6", "HS-13"), ("heat.stage.*",)),
}
"""How far a repair reaches by its physics: supply all that is hot, element stage and heat, air the rise."""


class Holds:
    """The holds of one record. `wide` repairs reach as far as their physics; `dead` is proved by readings."""

    def __init__(self, record: Record, *, wide: bool = False, dead: bool = False) -> None:
        self.record, self.wide, self.dead = record, wide, dead

    # ---- what stands

    @cached_property
    def _mended(self) -> tuple[tuple[int, tuple[str, ...]], ...]:
        found = []
        for event in self.record.mends:
            id, _, subject = event["mends"].partition(" ")
            n = subject.split(".")[1] if "." in subject else "*"
            reach = (PARTS if self.wide else REACH).get(id, REACH.get(id, ()))
            found.append((event["n"], tuple(p.replace("{n}", n) for p in reach)))
        return tuple(found)

    @cached_property
    def _changed(self) -> Mapping[str, int]:
        """The last event that gave a role's settings another value, or put one in force."""
        changed: dict[str, int] = {}
        for (setting, _), seen in self.record.places.items():
            for n, kind, _ in seen:
                if kind == "wrote":
                    since = self.record.cycled(n) if self.record.unit.waits(setting) else None
                    for role in self.record.unit.roles_of(setting):
                        changed[role] = max(changed.get(role, 0), since or n)
        return changed

    def current(self, id: str) -> Event | None:
        """The entry of a field that nothing has changed since."""
        event = self.record.values.get(id)
        if event is None:
            return None
        since = [self._changed.get(role, 0) for role in field(id).get("changed_by", ())]
        since += [n for n, reach in self._mended if any(fnmatchcase(id, pattern) for pattern in reach)]
        return None if max(since, default=0) > event["n"] else event

    def number(self, id: str) -> float | None:
        """The number that a field stands at."""
        event = self.current(id)
        return float(event["value"]) if event is not None else None

    def _missing(self, ids: Iterable[str]) -> bool:
        return any(self.current(id) is None for id in ids)

    # ---- the unit

    @property
    def _phases(self) -> int:
        supply = self.record.supply
        return int(supply.get("phases", 1)) if supply else 1

    @property
    def _pairs(self) -> tuple[str, ...]:
        return ("l1_l2", "l2_l3", "l3_l1") if self._phases == 3 else ("l1_l2",)

    @property
    def _legs(self) -> tuple[str, ...]:
        return ("l1", "l2", "l3") if self._phases == 3 else ("l1", "l2")

    def circuits(self) -> Iterator[tuple[str, Mapping[str, Any]]]:
        """Every circuit of the kit, before its fields."""
        kit = self.record.kit or {}
        for n, circuit in enumerate(kit.get("circuit", ()), 1):
            yield f"electrical.circuit.{n}.", circuit

    def _kit_legs(self) -> tuple[str, ...]:
        return ("l1", "l2", "l3") if (self.record.kit or {}).get("phases", 1) == 3 else ("l1", "l2")

    # ---- each hold: whether it is open

    def open(self, hold: str) -> bool:
        """Whether a hold is open."""
        return _JUDGES[hold](self)

    def acknowledged(self, id: str) -> bool:
        """Whether a word given does not stand."""
        return not stands(self.record, id)[0]

    def el_25(self) -> bool:
        """Absence of voltage is not proved at the place of work."""
        return self.dead and not absent(self.record)

    def el_2(self) -> bool:
        """Line to line, heat off, inside the data plate's range."""
        supply = self.record.supply
        volts = [self.number(f"electrical.line.{pair}") for pair in self._pairs]
        if supply is None or None in volts:
            return True
        low, high = amount(supply["lowest"]), amount(supply["highest"])
        return any(v is not None and not low - 1e-6 <= v <= high + 1e-6 for v in volts)

    def el_4(self) -> bool:
        """Every leg to ground what the declared supply implies; only what is far off is held against it."""
        read = [self.number(f"electrical.line.{leg}_ground") for leg in self._legs]
        lines = [self.number(f"electrical.line.{pair}") for pair in self._pairs]
        system = self.record.word("identity.system")
        volts = [v for v in read if v is not None]
        across = [v for v in lines if v is not None]
        if not system or len(volts) < len(read) or len(across) < len(lines):
            return True
        line = sum(across) / len(across)
        whole = {
            "split": (0.5,),
            "wye": (1 / sqrt(3),),
            "high-leg": (0.5, sqrt(3) / 2),
            "line-neutral": (0.0, 1.0),
        }
        room = 0.10 * line + 3.0
        return any(all(abs(v - part * line) > room for part in whole[system]) for v in volts)

    def el_5(self) -> bool:
        """Unbalance above 5 % with a three-phase motor."""
        if self._phases != 3 or self.record.unit.motor_phases != 3:
            return False
        volts = [self.number(f"electrical.line.{pair}") for pair in self._pairs]
        known = [v for v in volts if v is not None]
        if len(known) < 3:
            return True
        mean = sum(known) / 3
        return mean <= 0 or max(abs(v - mean) for v in known) / mean > 0.05 + 1e-9

    def el_13(self) -> bool:
        """The grounding path at most 1 ohm."""
        ohm = self.number("electrical.ground.resistance")
        return ohm is None or ohm > 1.0 + 1e-9

    def el_23(self) -> bool:
        """A stage surely on the frame, below 0.05 Mohm; unread takes no heat away."""
        read = (self.number(f"electrical.stage.{n}.to_frame") for n in range(1, 10))
        return any(ohm is not None and ohm < 0.9 * 0.05e6 for ohm in read)

    def el_26(self) -> bool:
        """A joint that turns far more than 20 W into heat, by the volts read across it and its amps."""
        return self._heats() and any(True for _ in self.burning())

    def burning(self) -> Iterator[str]:
        """Circuits with such a joint, before their fields; unread takes no heat away."""
        for place, _ in self.circuits():
            amps = [self.number(place + f"called.{leg}") for leg in self._kit_legs()]
            across = [self.number(place + f"joint.{leg}") for leg in self._kit_legs()]
            if None not in amps and any(
                v and i and v * i > 40.0 and v > 2.0 for v, i in zip(across, amps, strict=True)
            ):
                yield place

    @property
    def _nec(self) -> bool:
        return self.record.word("identity.code").startswith("NEC")

    def el_8(self) -> bool:
        """Every circuit's device known, and not above the most that is marked or the conductor bears."""
        return any(self._device(place, circuit) for place, circuit in self.circuits())

    def _device(self, place: str, circuit: Mapping[str, Any]) -> bool:
        device = self.number(place + "device")
        if device is None or not self.record.word("identity.code"):
            return True
        most = amount(circuit["maximum"]) if "maximum" in circuit else None
        if not self._nec:
            capacity = self.number(place + "capacity")
            return capacity is None or device > min(capacity, most or capacity) + 1e-6
        return most is not None and device > most + 1e-6

    def el_9(self) -> bool:
        """Every circuit's conductor carries its minimum, and its device protects it."""
        return any(self._conductor(place, circuit) for place, circuit in self.circuits())

    def _conductor(self, place: str, circuit: Mapping[str, Any]) -> bool:
        device = self.number(place + "device")
        if device is None or not self.record.word("identity.code"):
            return True
        if not self._nec:
            capacity = self.number(place + "capacity")
            return capacity is None or device > capacity + 1e-6
        names = ("conductor", "material", "insulation", "ambient", "conductors")
        told = [self.current(place + name) for name in names]
        if any(event is None for event in told):
            return True
        size, material, insulation, ambient, count = (e["value"] for e in told if e is not None)
        if "mm2" in str(size):
            return False
        terminals = int(circuit.get("terminals", 60))
        amps = ampacity(str(size), material, terminals, int(insulation), float(ambient), int(count))
        least = amount(circuit["minimum"]) if "minimum" in circuit else 0.0
        return amps < least - 1e-6 or device > largest_device(str(size), material, amps) + 1e-6

    def el_10(self) -> bool:
        """A heater above 48 A in parts of at most 48 A, their devices at most 60 A."""
        kit = self.record.kit
        if kit is None or not self._nec or amount(kit.get("element_devices", "100 A")) <= 60:
            return not self.record.word("identity.code") and bool(kit)
        watts = {s["id"]: amount(s["power"]) for s in kit["stage"]}
        across = amount(kit["voltage"]) * (sqrt(3) if kit.get("phases", 1) == 3 else 1.0)
        for place, circuit in self.circuits():
            if not circuit.get("stages"):
                continue
            amps = sum(watts[s] for s in circuit["stages"]) / across
            device = self.number(place + "device")
            if device is None or amps > 48 + 1e-6 or device > 60 + 1e-6:
                return True
        return False

    def id_3(self) -> bool:
        """The orientation is one that unit and kit support."""
        allowed = self.record.unit.file["unit"].get("orientations", ())
        found = self.record.word("identity.orientation")
        if not allowed:
            return False
        kit = self.record.kit
        return found not in allowed or (
            bool(kit and kit.get("orientations")) and found not in kit["orientations"]
        )

    def id_4(self) -> bool:
        """The kit is one that the unit accepts, and listed for the supply."""
        listed, found = self.record.unit.kits, self.record.word("identity.kit")
        if not listed or found == "none":
            return False
        kit, supply = self.record.kit, self.record.supply
        if kit is None or supply is None:
            return True
        return bool(kit.get("supplies")) and supply["id"] not in kit["supplies"]

    def bl_11_predicted(self) -> bool:
        """The statics are known, and the air they foretell over the heater is not clearly too little."""
        foretold = predicted(self.record, self.current)
        return self.record.kit is not None and (foretold is None or foretold.starved)

    def hs_5_predicted(self) -> bool:
        """The same for the air that leaves the heater."""
        foretold = predicted(self.record, self.current)
        return self.record.kit is not None and (foretold is None or foretold.too_hot)

    def _heats(self) -> bool:
        return self.record.kit is not None and not self.record.heat_kept_off

    def bl_11_measured(self) -> bool:
        """Air with heat on by statics, by rise or by a traverse, taken with what is in force now."""
        if not self._heats():
            return False
        top = f"heat.stage.{len((self.record.kit or {})['stage'])}."
        ways = (("heat.static.supply", "heat.static.return"), (top + "return_air", top + "leaving_air"))
        return all(self._missing(way) for way in ways) and self._missing(("blower.traverse",))

    def hs_5_measured(self) -> bool:
        """Leaving air of the highest stage, measured as left, inside the limit."""
        if not self._heats():
            return False
        highest = self.record.unit.file.get("limits", {}).get("leaving_air")
        air = self.number(f"heat.stage.{len((self.record.kit or {})['stage'])}.leaving_air")
        return highest is None or air is None or air > amount(highest) + 1e-6

    def el_22(self) -> bool:
        """No current without a call on any leg; legs alike with all heat."""
        for place, _ in self.circuits():
            idle = [self.number(place + f"no_call.{leg}") for leg in self._kit_legs()]
            if any(a is None or a > 1.5 + 1e-9 for a in idle):
                return True
            if self._heats() and self._missing(place + f"called.{leg}" for leg in self._kit_legs()):
                return True
        return False

    def hs_10(self) -> bool:
        """The blower seen to run on every heat path."""
        return self._heats() and any(not self._seen(id) for id in self._paths())

    def _paths(self) -> Iterator[str]:
        roles = {t["role"] for t in self.record.unit.topics}
        outdoor = self.record.word("identity.outdoor") not in ("", "none")
        yield "heat.path.normal"
        if "heat-on-lost-communication" in roles:
            yield "heat.path.lost_communication"
        if outdoor:
            yield from ("heat.path.emergency", "heat.path.defrost")

    def _seen(self, id: str) -> bool:
        event = self.current(id)
        return event is not None and event["value"] is True

    def bl_16(self) -> bool:
        """With zone dampers: the smallest zone was measured as left."""
        return (
            self._heats()
            and self.record.yes("blower.zoned")
            and self._missing(("blower.zone.supply", "blower.zone.return"))
        )

    def so_2(self) -> bool:
        """No hold open, and of what must pass or be waived: settings as chosen, the ten minutes."""
        holds = ("ID-3", "ID-4", "EL-2", "EL-4", "EL-5", "EL-13", "EL-8", "EL-9", "EL-10")
        if any(self.open(hold) for hold in holds if self.record.kit or hold not in ("EL-8", "EL-9", "EL-10")):
            return True
        return self._unset() or self._unwatched()

    def _unset(self) -> bool:
        """Whether a choice is not what the control was last seen to hold, and nobody waived that."""
        for role in {t["role"] for t in self.record.unit.topics if t["id"] in self.record.chosen}:
            for setting, value in ((self.record.choice(role) or {}).get("set", {})).items():
                for at in self.record.unit.addresses(setting):
                    waived = f"SQ-3 setting.{setting}@{at}" in self.record.waived
                    if self.record.holds(setting, at) != value and not waived:
                        return True
        return False

    def _unwatched(self) -> bool:
        minutes = [f"heat.minute.{n}.current" for n in range(1, 11)]
        watched = self._heats() and any(True for _ in self.circuits())
        return watched and "HS-16 unit" not in self.record.waived and self._missing(minutes)

    def so_6(self) -> bool:
        """Power on, no setting waiting for a power cycle, nothing forced, looked at after the last write."""
        record = self.record
        if record.power == "off" or (record.values.get("signoff.cleared", {}).get("value") is False):
            return True
        wrote = [(n, s) for (s, _), seen in record.places.items() for n, kind, _ in seen if kind == "wrote"]
        if any(record.unit.waits(s) and record.cycled(n) is None for n, s in wrote):
            return True
        seen = [n for acts in record.places.values() for n, kind, _ in acts if kind != "wrote"]
        seen += [e["n"] for id, e in record.values.items() if field(id).get("instrument")]
        return max((n for n, _ in wrote), default=0) > max(seen, default=0)

    def so_3(self) -> bool:
        """Left safe where a hold or a correct is open: somebody told, tagged, and off or heat off."""
        if not self.so_2():
            return False
        now = self.record.option("auxiliary-heat")
        heat_off = now is not None and not now.get("value")
        told = all(id in self.record.values for id in ("signoff.told", "signoff.made_safe"))
        return not (told and self.record.yes("signoff.tagged") and (self.record.power == "off" or heat_off))


_JUDGES: Mapping[str, Callable[[Holds], bool]] = {
    **{id: (lambda holds, id=id: holds.acknowledged(id)) for id in ("EL-1", "EL-18", "EL-19")},
    "EL-2": Holds.el_2,
    "EL-4": Holds.el_4,
    "EL-5": Holds.el_5,
    "EL-8": Holds.el_8,
    "EL-9": Holds.el_9,
    "EL-10": Holds.el_10,
    "EL-13": Holds.el_13,
    "EL-22": Holds.el_22,
    "EL-23": Holds.el_23,
    "EL-25": Holds.el_25,
    "EL-26": Holds.el_26,
    "ID-3": Holds.id_3,
    "ID-4": Holds.id_4,
    "BL-11 predicted": Holds.bl_11_predicted,
    "HS-5 predicted": Holds.hs_5_predicted,
    "BL-11 measured": Holds.bl_11_measured,
    "HS-5 measured": Holds.hs_5_measured,
    "HS-10": Holds.hs_10,
    "BL-16": Holds.bl_16,
    "SO-2": Holds.so_2,
    "SO-3": Holds.so_3,
    "SO-6": Holds.so_6,
}

GUARDS: Mapping[str, tuple[str, ...]] = {
    "live readings": ("EL-18",),
    "hands inside": ("EL-1", "EL-25"),
    "power on": ("EL-19",),
    "loads on": ("EL-2", "EL-4", "EL-5", "EL-13", "EL-19"),
    "energising heat": ("EL-8", "EL-9", "EL-10", "EL-23", "EL-26", "ID-4"),
    "enabling heat": ("ID-3", "BL-11 predicted", "HS-5 predicted"),
    "signing as commissioned": (
        *("BL-11 measured", "HS-5 measured", "EL-22", "HS-10", "BL-16"),
        *("SO-2", "SO-6"),
    ),
    "signing as not commissioned": ("SO-3",),
    "recording isolation": ("EL-25",),
}
"""What a hold guards, as TRADE section 7 states it once."""

__all__ = ["CALLED", "GUARDS", "Holds"]
