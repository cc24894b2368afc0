"""What must never happen in a visit, judged apart from the code: by its events and the unit's true state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple, Protocol

from walks.holding import GUARDS, Holds
from walks.lapsing import hands_inside, stands
from walks.paper import CALLED, HOT, Event, Place, Record, Unit, amount, field

DEAD, REPAIRS, FOLLOWERS, TIMES, FIRST = "EL-25", "repairs", "followers", "times", "failing first"
EVERY = frozenset({DEAD, REPAIRS, FOLLOWERS, TIMES, FIRST})
"""Rules that can be left out one by one; all else is always asked."""
TEN_MINUTES_S = 8 * 60
"""The least time from the first minute's reading to the tenth's (HS-16)."""
AWAY = 0.06
"""What a true value may move, as a part of it, before a reading of it is one of another unit."""


class Breach(NamedTuple):
    """A rule that was broken, in an act, and how."""

    rule: str
    act: str
    how: str

    def __str__(self) -> str:
        return f"{self.rule} past {self.act}: {self.how}"


class True_(Protocol):
    """The unit as it is."""

    power: str
    stored: Mapping[Place, str]

    def now(self, field: str) -> Any:
        """What a field would truly read now; None where there is nothing to read."""
        ...

    def then(self, field: str, n: int) -> Any:
        """What a field truly was when an event read it; None where nobody knows."""
        ...


class Open(NamedTuple):
    """A hold that is open, and the guarded act that it forbids."""

    hold: str
    act: str


@dataclass(frozen=True)
class Oracle:
    """The rules of one unit. `rules` are those of EVERY that are asked."""

    unit: Unit
    rules: frozenset[str] = EVERY

    def holds(self, record: Record) -> Holds:
        """The holds of a record."""
        return Holds(record, wide=REPAIRS in self.rules, dead=DEAD in self.rules)

    # ---- guards

    def forbids(self, record: Record, event: Event) -> list[Open]:
        """The holds that forbid an act that would be this event, as the record stands before it."""
        if event["kind"] == "retracted":
            return list(self._taking_back(record, event))
        holds, narrow = self.holds(record), Holds(record, dead=DEAD in self.rules)
        found = [
            Open(h if narrow.open(h) else REPAIRS, act)
            for act in self.acts(record, event)
            for h in GUARDS[act]
            if holds.open(h)
        ]
        return list(dict.fromkeys(found)) + list(self._power(record, event))

    def acts(self, record: Record, event: Event) -> tuple[str, ...]:
        """The guarded acts that an event is."""
        match event["kind"]:
            case "entered":
                return _acts_of_field(event["field"])
            case "found" | "wrote" | "read_back":
                acts = ("hands inside",) if hands_inside(self.unit, event) else ()
                if event["kind"] == "wrote" and self._allows(record, event):
                    return (*acts, "enabling heat")
                return acts
            case "powered" if event["state"] == "on":
                return ("power on",)
            case "signed":
                return (f"signing as {event['outcome']}",)
            case "acknowledged" if event["id"] == "EL-1":
                return ("recording isolation",)
        return ()

    def _allows(self, record: Record, event: Event) -> bool:
        after = Record(self.unit, [*record.events, event])
        return bool(after.heat_allowed() - record.heat_allowed())

    def _power(self, record: Record, event: Event) -> Iterator[Open]:
        """Power as the record has it, where an act wants it one way; a first look before any write."""
        wanted = ""
        match event["kind"]:
            case "entered":
                state = field(event["field"]).get("state", "")
                wanted = "" if not state else "off" if state in ("dead", "isolated") else "on"
            case "found" | "wrote" | "read_back":
                wanted = self.unit.settings.get(event["setting"], {}).get("power", "on")
                place = (event["setting"], event["address"])
                if event["kind"] == "wrote" and place not in record.places:
                    yield Open("SQ-1", "writing")
            case "acknowledged" if event["id"] == "EL-1":
                wanted = "off"
        if wanted == "off" and record.power != "off":
            act = next(iter(self.acts(record, event)), "reading an isolated unit")
            yield Open("power", act)
        if wanted == "on" and record.power == "off":
            yield Open(
                "power", "reading a live unit" if event["kind"] == "entered" else "setting a live unit"
            )

    def _taking_back(self, record: Record, event: Event) -> Iterator[Open]:
        """A retraction passes the guards of the state that it would leave.

        A write made inside the unit is one of now only while power is off: else nobody's hands are in it.
        """
        after = Record(self.unit, [*record.events, event])
        holds = self.holds(after)
        if after.power == "on" and record.power != "on" and holds.open("EL-19"):
            yield Open("EL-19", "taking back")
        if after.heat_allowed() - record.heat_allowed():
            yield from (Open(h, "taking back") for h in GUARDS["enabling heat"] if holds.open(h))
        for back in record.events:
            if (
                back["n"] in record.gone - after.gone
                and after.power == "off"
                and hands_inside(self.unit, back)
                and back["kind"] == "wrote"
            ):
                yield from (Open(h, "taking back") for h in GUARDS["hands inside"] if holds.open(h))

    # ---- after it was taken

    def judge(self, events: Sequence[Event], event: Event, true: True_ | None) -> list[Breach]:
        """What an event broke that was taken after these. `true`: the unit, where nobody lied of it."""
        record = Record(self.unit, events)
        found = [Breach(o.hold, o.act, _said(event)) for o in self.forbids(record, event)]
        if true is not None and hands_inside(self.unit, event) and true.power == "on":
            found.append(Breach("truth: live", "hands inside", _said(event)))
        if event["kind"] == "signed" and event["outcome"] == "commissioned":
            found += [Breach(rule, "signing as commissioned", how) for rule, how in self._signed(record)]
            if true is not None:
                untrue = self._untrue(record, true)
                left_out = EVERY - self.rules
                found += [Breach(r, "signing as commissioned", how) for r, how in untrue if r not in left_out]
        return found

    def _signed(self, record: Record) -> Iterator[tuple[str, str]]:
        first, tenth = (record.values.get(f"heat.minute.{n}.current") for n in (1, 10))
        waived = any(key.startswith("HS-16") for key in record.waived)
        if TIMES in self.rules and first and tenth and not waived:
            apart = (_time(tenth) - _time(first)).total_seconds()
            if self.holds(record).current("heat.minute.10.current") and apart < TEN_MINUTES_S:
                yield "HS-16 times", f"ten minutes of heat in {apart:.0f} s"
        if FOLLOWERS in self.rules:
            for (setting, at), wrote in self._unlooked(record):
                yield FOLLOWERS, f"{setting}@{at} was not looked at since {wrote} was written"

    def _unlooked(self, record: Record) -> Iterator[tuple[Place, str]]:
        """Places that must follow a setting and were not looked at since that was written."""
        for (setting, at), acts in record.places.items():
            last = max((n for n, kind, _ in acts if kind == "wrote"), default=0)
            for place in self.unit.followers(setting, at) if last else ():
                seen = record.places.get(place)
                if seen and seen[-1][0] < last and not _let_stand(record, place):
                    yield place, setting

    def _untrue(self, record: Record, true: True_) -> Iterator[tuple[str, str]]:
        if true.power != "on":
            yield "truth: off", "power is off"
        followed = {place for place, _ in self._unlooked(record)}
        for place, acts in record.places.items():
            holds, says = true.stored.get(place), acts[-1][2]
            if holds != says and not _let_stand(record, place):
                rule = FOLLOWERS if place in followed else "truth: settings"
                yield rule, f"{place[0]}@{place[1]} holds {holds}, the record says {says}"
        yield from self._unsafe(record, true)
        holds, heat = self.holds(record), not record.heat_kept_off
        for id in record.values:
            told = field(id)
            entry = holds.current(id)
            if (
                entry is None
                or not told.get("state")
                or (not heat and told["state"].partition(".")[0] in HOT)
            ):
                continue
            then, now = true.then(id, entry["n"]), true.now(id)
            if then is not None and _apart(then, now):
                rule = REPAIRS if any(m["n"] > entry["n"] for m in record.mends) else "truth: changed"
                yield rule, f"{id} was {then} when it was read in event {entry['n']}, is {now}"

    def _unsafe(self, record: Record, true: True_) -> Iterator[tuple[str, str]]:
        """Holds that the unit itself breaks, by more than any instrument may be off."""
        supply = record.supply or {}
        if supply:
            low, high = amount(supply["lowest"]), amount(supply["highest"])
            for pair in ("l1_l2", "l2_l3", "l3_l1"):
                volts = true.now(f"electrical.line.{pair}")
                if isinstance(volts, float) and not 0.985 * low <= volts <= 1.015 * high:
                    yield "truth: EL-2", f"{volts:.0f} V between {pair}"
        ohm = true.now("electrical.ground.resistance")
        if isinstance(ohm, float) and ohm > 1.05:
            yield "truth: EL-13", f"grounding path {ohm:.2f} ohm"
        for place, circuit in Holds(record).circuits():
            device = true.now(place + "device")
            if (
                isinstance(device, float)
                and "maximum" in circuit
                and device > amount(circuit["maximum"]) + 0.5
            ):
                yield "truth: EL-8", f"{device:.0f} A on {place}"
            for leg in ("l1", "l2", "l3"):
                amps = true.now(place + f"no_call.{leg}")
                if isinstance(amps, float) and amps > 1.7:
                    yield "truth: EL-22", f"{amps:.1f} A on {place}{leg} without a call"
        if record.kit is not None and not record.heat_kept_off:
            for id in ("heat.path.normal", "heat.path.emergency", "heat.path.lost_communication"):
                if id in record.values and true.now(id) is False:
                    yield "truth: HS-10", f"no blower at {id}"
            limit = record.unit.file.get("limits", {}).get("leaving_air")
            air = true.now(f"heat.stage.{len(record.kit['stage'])}.leaving_air")
            if limit and isinstance(air, float) and air > amount(limit) + 1.0:
                yield "truth: HS-5", f"air leaves at {air:.0f} degC"

    # ---- what is next

    def misleads(self, record: Record, do: str, left: str) -> Iterator[Breach]:
        """What `next` asks for beside a hold that endangers at once and has failed on a reading."""
        if FIRST not in self.rules or record.power == "off":
            return
        reads = do in ("enter", "measure_again") and field(left).get("state", "") in CALLED_OR_IDLE
        if not reads and (do != "write" or self._makes_safe(record, left)):
            return
        for name, fields in self._endangers(record):
            if not any(left.startswith(begin) for begin in fields):
                yield Breach("failing first", f"next after {name}", left)

    def _makes_safe(self, record: Record, setting: str) -> bool:
        """Whether a write switches heat off where somebody noted that power cannot be switched."""
        refused = [e["n"] for e in record.events if e["kind"] == "noted" and e.get("refused") == "power"]
        last = max((n for n, _ in record.powered), default=0)
        stays = [n for n in refused if n > last and n not in record.gone]
        off = record.choice("auxiliary-heat")
        return bool(stays) and off is not None and not off.get("value") and setting in off["set"]

    def _endangers(self, record: Record) -> Iterator[tuple[str, tuple[str, ...]]]:
        # What was read before a repair of whatever part is left to the program's table of parts.
        holds, mended = self.holds(record), max((e["n"] for e in record.mends), default=0)

        def number(id: str) -> float | None:
            event = holds.current(id)
            return None if event is None or event["n"] < mended else float(event["value"])

        supply = record.supply or {}
        if supply:
            for pair in ("l1_l2", "l2_l3", "l3_l1"):
                volts = number(f"electrical.line.{pair}")
                if volts is not None and volts > 1.02 * amount(supply["highest"]):
                    yield "EL-2", ("electrical.line.",)
        ohm = number("electrical.ground.resistance")
        if ohm is not None and ohm > 1.1:
            yield "EL-13", ("electrical.ground.",)
        for place, _ in holds.circuits():
            for leg in ("l1", "l2", "l3"):
                amps = number(place + f"no_call.{leg}")
                if amps is not None and amps > 2.0:
                    yield "EL-22", (place + "no_call.",)
        if mended == 0:
            yield from (
                ("EL-26", (place + "joint.",)) for place in holds.burning() if not record.heat_kept_off
            )


CALLED_OR_IDLE = ("idle", *CALLED)


def _acts_of_field(id: str) -> tuple[str, ...]:
    told = field(id)
    state = told.get("state", "")
    if not state:
        return ()
    if state == "dead":
        return ("live readings",)
    if state == "isolated":
        return ("live readings",) if told["kind"] == "voltage" else ("hands inside",)
    acts = ("live readings",) if told.get("instrument") in ("meter", "clamp") else ()
    head = state.partition(".")[0]
    if head in HOT:
        return (*acts, "loads on", "energising heat", "enabling heat")
    return (*acts, "loads on") if head in CALLED else acts


def _let_stand(record: Record, place: Place) -> bool:
    """Whether somebody signed for a setting that was not looked at again, by name and with a reason."""
    subject = f"setting.{place[0]}@{place[1]}"
    return any(f"{id} {subject}" in record.waived for id in ("SQ-1", "SQ-3", "SQ-4"))


def _apart(then: Any, now: Any) -> bool:
    if isinstance(then, bool | str) or isinstance(now, bool | str) or now is None:
        return bool(then != now) and now is not None
    return abs(float(then) - float(now)) > max(AWAY * max(abs(then), abs(now)), 1e-3)


def _time(event: Event) -> datetime:
    return datetime.fromisoformat(event.get("read_at", event["at"]).removesuffix("Z"))


def _said(event: Event) -> str:
    names = ("field", "setting", "state", "outcome", "of", "id", "typed", "shown")
    return " ".join([event["kind"], *(str(event[name]) for name in names if name in event)])


__all__ = ["EVERY", "Breach", "Open", "Oracle", "stands"]
