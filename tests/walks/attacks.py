"""One hold made to stand open by itself, and then the act that it guards: what shows whether it is kept.

In an honest walk a hold is opened only by taking a reading back; where somebody lies, by a wrong one too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import sqrt

from walks.absence import points
from walks.hostile import Hand
from walks.paper import Record, amount

Typed = tuple[str, str]
BLOWER, HEAT, SIGN = "blower.static.supply", "heat.stage.1.return_air", "sign"


def attack(hand: Hand) -> None:
    """Open one hold, then do what it guards."""
    record = Record(hand.oracle.unit, hand.events)
    hold = hand.random.choice([h for h in _WAYS if h.startswith(hand.aim)] or list(_WAYS))
    goal, spoil, fields = _WAYS[hold]
    if fields and (hand.honest or hand.random.random() < 0.3):
        _unsay(hand, record, fields)
    else:
        for left, typed in spoil(record):
            if not hand.take(left, typed, lie=True):
                return
    reach(hand, goal)


def reach(hand: Hand, goal: str) -> None:
    """Do a guarded act, whatever lacks in words given first."""
    if goal == SIGN:
        if not hand.honest:
            for id in ("signoff.cleared", "signoff.holes_plugged"):
                if hand.visit.view.ledger.current(id) is None:
                    hand.take(id, "yes", lie=True)
        waive_all(hand)
        hand.take("sign", "commissioned")
        return
    if Record(hand.oracle.unit, hand.events).power != "on":
        hand.take("acknowledge:EL-19", "yes")
        kept = hand.unit.kept()
        hand.unit._switch({"state": "on"})
        hand.take("power", "on", kept=kept)
    for id in ("EL-18", "EL-19"):
        hand.take(f"acknowledge:{id}", "yes")
    hand.answer(goal)


def waive_all(hand: Hand) -> None:
    """Waive whatever can be."""
    for _ in range(25):
        now = (f for f in hand.visit.view.findings if f.open and f.severity != "hold" and f.id != "SO-2")
        if (found := next(now, None)) is None or not hand.take(
            f"waive:{found.id}/{found.subject}", "so be it"
        ):
            return


def _unsay(hand: Hand, record: Record, fields: tuple[str, ...]) -> None:
    """Take all readings of a field back, the newest first."""
    known = [id for id in fields if id in record.values]
    if known:
        field = hand.random.choice(known)
        for event in reversed(record.events):
            if event.get("field") == field and event["n"] not in record.gone:
                hand.take(f"retract:{event['n']}", "not so")


# ---- wrong readings that open one hold and no other


def _lines(record: Record, volts: float) -> Iterator[Typed]:
    """Every line reading as a sound supply of so many volts gives it."""
    part = {"split": 0.5, "wye": 1 / sqrt(3)}.get(record.word("identity.system"))
    for id in record.values:
        if id.startswith("electrical.line.l"):
            if not id.endswith("_ground"):
                yield id, f"{volts:.1f} V"
            elif part:
                yield id, f"{part * volts:.1f} V"


def _too_high(record: Record) -> Iterator[Typed]:
    if record.supply:
        yield from _lines(record, 1.02 * amount(record.supply["highest"]))


def _leg(record: Record) -> Iterator[Typed]:
    yield "electrical.line.l1_ground", "20 V"


def _unbalanced(record: Record) -> Iterator[Typed]:
    if record.supply and record.supply.get("phases", 1) == 3:
        nominal = amount(record.supply["nominal"])
        yield "electrical.line.l1_l2", f"{1.045 * nominal:.1f} V"
        yield "electrical.line.l2_l3", f"{0.945 * nominal:.1f} V"
        yield "electrical.line.l3_l1", f"{1.01 * nominal:.1f} V"


def _isolated(record: Record, *typed: Typed) -> Iterator[Typed]:
    """Something that is read with power off."""
    yield "power", "off"
    yield "acknowledge:EL-18", "yes"
    yield "electrical.dead.function", "two-pole tester"
    yield "electrical.dead.tester_before", "yes"
    for point in points(record):
        yield f"electrical.dead.{point}", "0 V"
    if record.unit.file["blower"].get("motor") == "electronic":
        yield "electrical.dead.waited", "yes"
    yield "electrical.dead.tester_after", "yes"
    yield "acknowledge:EL-1", "yes"
    yield from typed


def _of_circuit(name: str, typed: str, other: str = "", too: str = "") -> Callable[[Record], Iterator[Typed]]:
    def spoil(record: Record) -> Iterator[Typed]:
        place = "electrical.circuit.1."
        more = ((place + other, too),) if other else ()
        yield from _isolated(record, (place + name, typed), *more)

    return spoil


def _ground(record: Record) -> Iterator[Typed]:
    yield from _isolated(record, ("electrical.ground.resistance", "9 ohm"))


def _device(record: Record) -> Iterator[Typed]:
    """Above what is marked, on a conductor that bears it."""
    circuit = next(iter((record.kit or {}).get("circuit", ())), {})
    if "maximum" in circuit:
        device = amount(circuit["maximum"]) + 5
        place = "electrical.circuit.1."
        conductor = (place + "conductor", "1 AWG") if place + "conductor" in record.values else None
        capacity = (place + "capacity", f"{device:.0f} A")
        yield from _isolated(record, (place + "device", f"{device:.0f} A"), conductor or capacity)


def _undivided(record: Record) -> Iterator[Typed]:
    """A device above 60 A where the kit's maker marks as much."""
    circuit = next(iter((record.kit or {}).get("circuit", ())), {})
    if amount(circuit.get("maximum", "0 A")) > 60:
        place = "electrical.circuit.1."
        yield from _isolated(record, (place + "conductor", "1 AWG"), (place + "device", "70 A"))


def _other_supply(record: Record) -> Iterator[Typed]:
    listed = (record.kit or {}).get("supplies", ())
    for id, supply in record.unit.supplies.items():
        if listed and id not in listed:
            yield "identity.supply", id
            yield from _lines(record, amount(supply["nominal"]))
            return


def _other_way(record: Record) -> Iterator[Typed]:
    allowed = (record.kit or {}).get("orientations", ())
    for way in record.unit.file["unit"].get("orientations", ()):
        if allowed and way not in allowed:
            yield "identity.orientation", way
            return


def _no_figure(record: Record) -> Iterator[Typed]:
    """A way round for which the kit's maker gives no least airflow."""
    told = (record.kit or {}).get("least_airflow_in")
    for way in record.unit.file["unit"].get("orientations", ()):
        if told is not None and way not in told:
            yield "identity.orientation", way
            return


def _no_air(record: Record) -> Iterator[Typed]:
    """Nothing left that tells the air with heat on, and no heat pump that would ask for it too."""
    if "identity.outdoor" in record.values:
        yield "identity.outdoor", "none"
    told = ("heat.static.", "heat.stage.")
    for event in reversed(record.events):
        id = event.get("field", "")
        if event["n"] not in record.gone and id.startswith(told) and not id.endswith("leaving_air"):
            yield f"retract:{event['n']}", "not so"


def _hot_return(record: Record) -> Iterator[Typed]:
    if record.kit is not None:
        yield f"heat.stage.{len(record.kit['stage'])}.return_air", "165 F"


def _of(*typed: Typed) -> Callable[[Record], Iterator[Typed]]:
    return lambda record: iter(typed)


def _hot(record: Record) -> Iterator[Typed]:
    for n, _ in enumerate((record.kit or {}).get("stage", ()), 1):
        yield f"heat.stage.{n}.leaving_air", "190 F"


def _late(record: Record) -> Iterator[Typed]:
    """A write as the last thing done to the unit."""
    for (setting, address), acts in record.places.items():
        if record.unit.settings[setting].get("power", "on") == "on" and not record.unit.waits(setting):
            yield f"wrote:{setting}@{address}", _as_shown(record, setting, acts[-1][2])
            return


def _led(record: Record) -> Iterator[Typed]:
    """A setting written and read back once more, and what must follow it not looked at again."""
    for (setting, address), acts in record.places.items():
        plain = record.unit.settings[setting].get("power", "on") == "on" and not record.unit.waits(setting)
        if plain and any(place in record.places for place in record.unit.followers(setting, address)):
            shown = _as_shown(record, setting, acts[-1][2])
            yield f"wrote:{setting}@{address}", shown
            yield f"read_back:{setting}@{address}", shown
            return


def _as_shown(record: Record, setting: str, value: str) -> str:
    """What the control shows for a value: itself, or its code."""
    return next((s for (id, s), v in record.unit.shown.items() if (id, v) == (setting, value)), value)


_LINE = ("electrical.line.l1_l2",)
_STATICS = ("blower.static.supply", "blower.static.return")
_WAYS: Mapping[str, tuple[str, Callable[[Record], Iterator[Typed]], tuple[str, ...]]] = {
    "EL-2": (BLOWER, _too_high, _LINE),
    "EL-4": (BLOWER, _leg, ("electrical.line.l1_ground", "electrical.line.l2_ground")),
    "EL-5": (BLOWER, _unbalanced, _LINE),
    "EL-13": (BLOWER, _ground, ("electrical.ground.resistance",)),
    "EL-8": (HEAT, _device, ("electrical.circuit.1.device",)),
    "EL-9": (HEAT, _of_circuit("conductor", "14 AWG"), ("electrical.circuit.1.conductor",)),
    "EL-9 elsewhere": (HEAT, _of_circuit("capacity", "10 A"), ("electrical.circuit.1.capacity",)),
    "EL-10": (HEAT, _undivided, ("electrical.circuit.1.device",)),
    "EL-26": (HEAT, _of(("electrical.circuit.1.joint.l1", "9 V")), ()),
    "ID-4": (HEAT, _other_supply, ("identity.kit", "identity.supply")),
    "ID-3": (HEAT, _other_way, ("identity.orientation",)),
    "air ahead": (HEAT, _of((BLOWER, "2.9 in wc")), _STATICS),
    "BL-11 predicted": (HEAT, _no_figure, ()),
    "HS-5 predicted": (HEAT, _hot_return, ()),
    "BL-11 measured": (SIGN, _no_air, ()),
    "HS-5 measured": (
        SIGN,
        _hot,
        ("heat.stage.1.leaving_air", "heat.stage.2.leaving_air", "heat.stage.3.leaving_air"),
    ),
    "EL-22": (SIGN, _of(("electrical.circuit.1.no_call.l1", "10 A")), ("electrical.circuit.1.no_call.l1",)),
    "HS-10": (SIGN, _of(("heat.path.normal", "no")), ("heat.path.normal", "heat.path.defrost")),
    "BL-16": (SIGN, _of(("blower.zoned", "yes")), ("blower.zone.supply",)),
    "SO-2": (SIGN, _too_high, ("heat.minute.10.current", "heat.minute.3.current")),
    "SO-6": (SIGN, _of(("signoff.cleared", "no")), ()),
    "SO-6 late": (SIGN, _late, ()),
    "followers": (SIGN, _led, ()),
}
"""For each hold: the act that it guards, wrong readings that open it, and fields that it rests on."""
