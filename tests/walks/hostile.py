"""The acts of somebody who heeds nothing, at any moment, with values right, wrong or senseless."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta
from random import Random
from typing import TYPE_CHECKING, Any

from asleft.drill.answers import RigError
from asleft.drill.rig import BuiltIn, ask
from asleft.session.acts import Enter

if TYPE_CHECKING:
    from asleft.visit import Visit
    from walks.oracle import Oracle
    from walks.paper import Event
    from walks.world import Clock, Unlucky

WORDS = (
    "yes",
    "no",
    "0",
    "-5",
    "1e9",
    "nan",
    "[bold]x",
    "../x",
    "24 V",
    "0.5 in wc",
    "240 V",
    "90 F",
    "zz",
    "",
)
WORDS_ODD = ("208 ± 1e300 V", "1 ± 1e155 ohm", "OL", ">550 Mohm", "240 V; 241 V; 239 V", "1,5 kW", "12 mm")

BAD: Mapping[str, tuple[str, ...]] = {
    "electrical.line.l1_l2": ("300 V", "150 V", "0 V"),
    "electrical.line.l2_l3": ("300 V", "195 V", "0 V"),
    "electrical.line.l3_l1": ("300 V", "0 V"),
    "electrical.line.l1_ground": ("300 V", "20 V", "0 V"),
    "electrical.line.l2_ground": ("300 V", "20 V", "0 V"),
    "electrical.ground.resistance": ("9 ohm", "1.01 ohm", "OL"),
    "electrical.circuit.1.device": ("200 A", "5 A"),
    "electrical.circuit.1.conductor": ("14 AWG",),
    "electrical.circuit.1.capacity": ("5 A",),
    "electrical.circuit.1.ambient": ("150 F",),
    "electrical.circuit.1.no_call.l1": ("10 A", "1.51 A"),
    "electrical.circuit.1.no_call.l2": ("10 A",),
    "electrical.circuit.1.locked.l1_ground": ("120 V", "4 V", "0 V"),
    "blower.static.supply": ("1.2 in wc", "0.01 in wc"),
    "blower.zoned": ("yes", "no"),
    "heat.stage.1.leaving_air": ("190 F",),
    "heat.stage.2.leaving_air": ("190 F",),
    "heat.static.supply": ("1.4 in wc",),
    "heat.path.normal": ("no",),
    "heat.path.emergency": ("no",),
    "heat.minute.10.current": ("3 A",),
    "signoff.cleared": ("no", "yes"),
    "signoff.tagged": ("no", "yes"),
    "signoff.told": ("the owner",),
    "signoff.made_safe": ("isolated", "heat off"),
}
"""Readings that ought to open a hold, and some on the edge."""

LIKELY = {
    "field": 12,
    "word": 4,
    "guarded": 16,
    "bad": 10,
    "choose": 4,
    "setting": 12,
    "planned": 6,
    "power": 8,
    "acknowledge": 8,
    "waive": 5,
    "mended": 5,
    "cannot": 3,
    "retract": 9,
    "undo": 4,
    "redo": 5,
    "sign": 8,
    "note": 2,
    "broke": 1,
    "meter": 3,
    "identity": 4,
    "review": 1,
    "seal": 1,
    "hurry": 2,
    "pause": 2,
    "sitting": 5,
    "cut": 0.6,
    "damage": 0.8,
    "trouble": 2,
    "attack": 9,
}
"""How likely each kind of act is, as weights."""
AIMED = 0.2
"""How many of the hostile acts of an aimed walk are attacks."""
TELLING = ("powered", "acknowledged", "wrote", "retracted", "signed", "found", "noted", "used")


class Hand:
    """What an act needs of the walk that it is part of."""

    random: Random
    visit: Visit
    unit: Unlucky
    rig: BuiltIn
    oracle: Oracle
    clock: Clock
    events: list[Event]
    honest: bool
    by: str
    aim: str
    """The hold that attacks go for; empty where they go for any."""

    def take(self, left: str, typed: str, *, kept: Any = None, lie: bool = False) -> bool:
        """One act typed."""
        raise NotImplementedError

    def answer(self, id: str) -> None:
        """A field with what the unit shows there."""
        _answer(self, id)

    def attack(self) -> None:
        """One hold opened, and what it guards done."""
        raise NotImplementedError

    def pause(self, long: timedelta) -> None:
        """The clock goes on."""
        raise NotImplementedError

    def reopen(self, by: str, zone: str = "") -> None:
        """The program is closed, and opened again."""
        raise NotImplementedError

    def cut(self) -> None:
        """The file loses its end."""
        raise NotImplementedError

    def damage(self) -> None:
        """The file is damaged."""
        raise NotImplementedError

    def trouble(self) -> None:
        """The rig fails once."""
        raise NotImplementedError


def anything(hand: Hand) -> None:
    """Any act at all."""
    kind = hand.random.choices(list(LIKELY), list(LIKELY.values()))[0]
    if hand.aim and hand.random.random() < AIMED:
        kind = "attack"
    _ACTS[kind](hand)


def _field(hand: Hand) -> None:
    _answer(hand, hand.random.choice(list(hand.visit.view.ledger.fields)))


def _guarded(hand: Hand) -> None:
    fields = [f.id for f in hand.visit.view.ledger.fields.values() if f.state]
    _answer(hand, hand.random.choice(fields))


def _answer(hand: Hand, id: str) -> None:
    """A field with what the unit shows there; where it shows nothing, whatever, unless nobody lies."""
    try:
        answer = ask(hand.rig, hand.visit.view, Enter(id))
    except RigError:
        hand.take(f"cannot:{id}", "no answer")
        return
    if answer.typed:
        hand.take(id, answer.typed)
    elif not hand.honest:
        hand.take(id, hand.random.choice(WORDS))
    else:
        hand.take(f"cannot:{id}", answer.refused or "no answer")


def _word(hand: Hand) -> None:
    id, words = hand.random.choice(list(hand.visit.view.ledger.fields)), (*WORDS, *WORDS_ODD)
    hand.take(id, hand.random.choice(words), lie=True)


def _bad(hand: Hand) -> None:
    known = [id for id in BAD if id in hand.visit.view.ledger.fields]
    if hand.honest or not known:
        _guarded(hand)
    else:
        id = hand.random.choice(known)
        hand.take(id, hand.random.choice(BAD[id]), lie=True)


def _identity(hand: Hand) -> None:
    fields = [f for f in hand.visit.view.ledger.fields.values() if f.pane == "identity" and f.choices]
    if hand.honest or not fields:
        _choose(hand)
    else:
        field = hand.random.choice(fields)
        hand.take(field.id, hand.random.choice(field.choices), lie=True)


def _choose(hand: Hand) -> None:
    if topics := hand.visit.view.equipment.topic:
        topic = hand.random.choice(topics)
        hand.take(f"choose:{topic.id}", hand.random.choice(topic.option).id)


def _setting(hand: Hand) -> None:
    unit, random = hand.visit.view.equipment, hand.random
    if not unit.setting:
        return
    setting = random.choice(unit.setting)
    address, verb = random.choice(setting.address), random.choice(("found", "wrote", "wrote", "read_back"))
    _at_control(hand, verb, setting.id, address, random.choice(setting.values))


def _planned(hand: Hand) -> None:
    """A write of what is chosen, or of what allows heat, whenever."""
    if planned := list(hand.visit.view.ledger.planned().items()):
        (setting, address), value = hand.random.choice(planned)
        _at_control(hand, "wrote", setting, address, value)
    else:
        _setting(hand)


def _at_control(hand: Hand, verb: str, setting: str, address: str, value: str) -> None:
    """What is done at the control, and what it shows then; said without doing it where somebody lies."""
    unit = hand.visit.view.equipment
    code = unit.code_of(setting, value)
    kept = hand.unit.kept()
    if not hand.honest and hand.random.random() < 0.4:
        hand.take(f"{verb}:{setting}@{address}", code.shown if code else value, lie=True)
        return
    place = unit.setting_of(setting)
    assert place is not None
    reply = (
        hand.unit._store(place, address, value)
        if verb == "wrote"
        else hand.unit._look({"setting": setting, "address": address})
    )
    if "shown" in reply:
        hand.take(f"{verb}:{setting}@{address}", reply["shown"], kept=kept)
    elif not hand.honest:
        hand.take(f"{verb}:{setting}@{address}", value, lie=True)


def _power(hand: Hand) -> None:
    state, kept = hand.random.choice(("on", "off")), hand.unit.kept()
    if hand.honest or hand.random.random() < 0.7:
        hand.unit._switch({"state": state})
        hand.take("power", state, kept=kept)
    else:
        hand.take("power", state, lie=True)


def _acknowledge(hand: Hand) -> None:
    hand.take(
        f"acknowledge:{hand.random.choice(('EL-1', 'EL-1', 'EL-18', 'EL-19', 'EL-19', 'SO-3', 'EL-25'))}",
        "yes",
    )


def _finding(hand: Hand, verb: str, typed: str) -> None:
    findings = hand.visit.view.findings
    some = [f for f in findings if f.failed] if verb == "mended" else [f for f in findings if f.open]
    finding = hand.random.choice(some or list(findings))
    hand.take(f"{verb}:{finding.id}/{finding.subject}", typed)


def _mended(hand: Hand) -> None:
    """A repair: what is at fault is put right where somebody does it, who names its part; else only said."""
    failed = [f for f in hand.visit.view.findings if f.failed]
    if not failed:
        return
    finding, kept = hand.random.choice(failed), hand.unit.kept()
    reply = hand.unit._mend({"finding": finding.id})
    part = f"{reply['part']}: " if "part" in reply else ""
    typed = f"{part}put right" if "done" in reply else "looked at"
    hand.take(f"mended:{finding.id}/{finding.subject}", typed, kept=kept)


def _cannot(hand: Hand) -> None:
    fields = list(hand.visit.view.ledger.fields)
    hand.take(f"cannot:{hand.random.choice((hand.random.choice(fields), 'power'))}", "no way there")


def _retract(hand: Hand) -> None:
    if not hand.events:
        return
    random = hand.random
    telling = [e["n"] for e in hand.events[-60:] if e["kind"] in TELLING]
    n = random.choice(telling) if telling and random.random() < 0.6 else random.randint(1, len(hand.events))
    hand.take(f"retract:{n}", "not so")


def _undo(hand: Hand) -> None:
    gone = hand.visit.view.state.retracted
    fixed = ("retracted", "signed", "sealed", "resumed", "reviewed")
    n = next((e["n"] for e in reversed(hand.events) if e["kind"] not in fixed and e["n"] not in gone), None)
    if n is not None:
        hand.take(f"retract:{n}", "undone")


def _redo(hand: Hand) -> None:
    if taken := [e["n"] for e in hand.events if e["kind"] == "retracted"]:
        hand.take(f"retract:{hand.random.choice(taken[-4:])}", "redone")


def _sign(hand: Hand) -> None:
    hand.take("sign", hand.random.choice(("commissioned", "commissioned", "not commissioned")))


def _meter(hand: Hand) -> None:
    role = hand.random.choice(("meter", "meter", "clamp", "manometer", "thermometer"))
    known = [i.id for i in hand.visit.instruments.values() if i.role == role]
    own = "Ours no. 3 | " + {"meter": "voltage 1 %", "clamp": "current 1 %"}.get(role, "") + " | 2032-01-01"
    hand.take(f"identity.instrument.{role}", hand.random.choice((*known, own)))


def _pause(hand: Hand) -> None:
    hand.pause(hand.random.choice((timedelta(minutes=7), timedelta(hours=5), timedelta(days=3))))


def _sitting(hand: Hand) -> None:
    """Closed, left for a while, and opened again by somebody."""
    hand.pause(
        hand.random.choice((timedelta(), timedelta(minutes=20), timedelta(hours=5), timedelta(hours=13)))
    )
    by = "Ben" if hand.random.random() < 0.35 else "Ada"
    hand.reopen(by, hand.random.choice(("", "", "-05:00", "+09:30")))


def _hurry(hand: Hand) -> None:
    hand.clock.step = timedelta(seconds=hand.random.choice((1, 5, 45, 60)))


def _waive(hand: Hand) -> None:
    _finding(hand, "waive", "the owner knows")


def _note(hand: Hand) -> None:
    hand.take("note", "a remark")


def _broke(hand: Hand) -> None:
    hand.take("broke:EL-1", "in a hurry")


def _review(hand: Hand) -> None:
    hand.take(hand.random.choice(("review:accepted", "review:sent-back")), "looked through")


def _seal(hand: Hand) -> None:
    hand.take("seal", "a key")


_ACTS: Mapping[str, Callable[[Hand], None]] = {
    "field": _field,
    "word": _word,
    "guarded": _guarded,
    "bad": _bad,
    "choose": _choose,
    "setting": _setting,
    "planned": _planned,
    "power": _power,
    "acknowledge": _acknowledge,
    "waive": _waive,
    "mended": _mended,
    "cannot": _cannot,
    "retract": _retract,
    "undo": _undo,
    "redo": _redo,
    "sign": _sign,
    "note": _note,
    "broke": _broke,
    "meter": _meter,
    "identity": _identity,
    "review": _review,
    "seal": _seal,
    "hurry": _hurry,
    "pause": _pause,
    "sitting": _sitting,
    "cut": lambda hand: hand.cut(),
    "damage": lambda hand: hand.damage(),
    "trouble": lambda hand: hand.trouble(),
    "attack": lambda hand: hand.attack(),
}
