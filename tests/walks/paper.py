"""A session and an equipment file as plain tables: all that the oracle goes by."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from pathlib import Path
from typing import Any

import asleft.session

Event = Mapping[str, Any]
Place = tuple[str, str]

HEAT_ROLES = ("auxiliary-heat", "heat-in-defrost", "heat-on-lost-communication")
HOT = ("heat", "after", "defrost", "ordinary")
CALLED = ("blower", "heat_pump", *HOT)

_FACTORS = {
    "V": 1.0,
    "A": 1.0,
    "ohm": 1.0,
    "W": 1.0,
    "kW": 1e3,
    "cfm": 0.4719474e-3,
    "L/s": 1e-3,
    "m3/s": 1.0,
    "inH2O": 249.089,
    "Pa": 1.0,
}
"""What the units of an equipment file are in the base unit."""


def amount(written: str) -> float:
    """A quantity of an equipment file in its base unit: volts, amperes, watts, m3/s, pascals, degrees C."""
    number, _, unit = written.partition(" ")
    value = float(number.replace(",", ""))
    if unit == "degF":
        return (value - 32.0) / 1.8
    return value if unit == "degC" else value * _FACTORS[unit]


def of_field(template: str) -> re.Pattern[str]:
    """What an id must look like to be one of a field with subjects in braces."""
    return re.compile(re.sub(r"\\\{([a-z]+)\\\}", r"(?P<\1>[^.]+)", re.escape(template)))


_FIELDS = tuple(
    (of_field(field["id"]), field)
    for field in tomllib.loads((Path(asleft.session.__file__).parent / "fields.toml").read_text("utf-8"))[
        "field"
    ]
)


@cache
def field(id: str) -> Mapping[str, Any]:
    """A field as its table has it, its state filled in; empty where there is none."""
    for pattern, told in _FIELDS:
        if found := pattern.fullmatch(id):
            named = found.groupdict()
            if "minute" in named:
                named["seconds"] = str(60 * int(named["minute"]))
            state = told.get("state", "")
            for name, value in named.items():
                state = state.replace("{" + name + "}", value)
            return {**told, "state": state}
    return {}


class Unit:
    """An equipment file as a table, and what the oracle looks up in it."""

    def __init__(self, text: str) -> None:
        self.file = tomllib.loads(text)
        self.settings = {s["id"]: s for s in self.file.get("setting", ())}
        self.kits = {k["id"]: k for k in self.file.get("heater", ())}
        self.supplies = {s["id"]: s for s in self.file["supply"]}
        self.topics = self.file.get("topic", ())
        self.shown = {(c["setting"], c["shown"]): c["value"] for c in self.file.get("code", ())}
        self.motor_phases = self.file["blower"].get("phases", 1)

    def addresses(self, setting: str) -> tuple[str, ...]:
        """Where a setting lives."""
        at = self.settings[setting]["address"]
        return (at,) if isinstance(at, str) else tuple(at)

    def roles_of(self, setting: str) -> frozenset[str]:
        """The roles of the topics that a setting carries."""
        return frozenset(t["role"] for t in self.topics for o in t["option"] if setting in o["set"])

    def waits(self, setting: str) -> bool:
        """Whether a write acts only once power has been off and on."""
        told = self.settings[setting]
        return bool(told.get("power_cycle")) and told.get("power", "on") == "on"

    def followers(self, setting: str, address: str) -> tuple[Place, ...]:
        """The places whose values are to be written after this one."""
        own = self.addresses(setting)
        return tuple(
            (id, at)
            for id, told in self.settings.items()
            if setting in told.get("after", ()) or id in self.settings[setting].get("resets", ())
            for at in self.addresses(id)
            if at == address or at not in own
        )


class Record:
    """The events of a session, folded: what stands, what was taken back, and what happened all the same."""

    def __init__(self, unit: Unit, events: Sequence[Event]) -> None:
        self.unit, self.events = unit, events
        self.gone: set[int] = set()
        for event in reversed(events):
            if event["kind"] == "retracted" and event["n"] not in self.gone:
                self.gone.add(event["of"])
        self.values: dict[str, Event] = {}
        self.acknowledged: dict[str, int] = {}
        self.places: dict[Place, list[tuple[int, str, str]]] = {}
        self.chosen: dict[str, str] = {}
        self.mends: list[Event] = []
        self.waived: dict[str, int] = {}
        self.powered: list[tuple[int, str]] = []
        self.switched = self.damaged = 0
        """The last switching of power, taken back or not, and the last going on from damage."""
        for event in events:
            if event["kind"] == "powered":
                self.switched = event["n"]
            elif event["kind"] == "resumed" and event.get("damaged"):
                self.damaged = event["n"]
            if event["n"] not in self.gone:
                self._stands(event)

    def _stands(self, event: Event) -> None:
        n = event["n"]
        match event["kind"]:
            case "entered":
                self.values[event["field"]] = event
            case "acknowledged":
                self.acknowledged[event["id"]] = n
            case "chose":
                self.chosen[event["topic"]] = event["option"]
            case "powered":
                self.powered.append((n, event["state"]))
            case "waived":
                self.waived[f"{event['id']} {event['subject']}"] = n
            case "noted" if event.get("mends"):
                self.mends.append(event)
            case "found" | "wrote" | "read_back" as kind:
                value = self.unit.shown.get((event["setting"], event["shown"]), event["shown"])
                self.places.setdefault((event["setting"], event["address"]), []).append((n, kind, value))

    @property
    def power(self) -> str:
        """As the record has it: on, off, or not known, which nobody may trust."""
        if not self.powered or self.powered[-1][0] < self.damaged:
            return "unknown"
        return self.powered[-1][1]

    def word(self, id: str) -> str:
        """A field of words as it was entered last; empty where it was not."""
        return str(self.values[id]["value"]) if id in self.values else ""

    def yes(self, id: str) -> bool:
        """Whether a question was answered with yes."""
        return id in self.values and self.values[id]["value"] in (True, "yes")

    @property
    def kit(self) -> Mapping[str, Any] | None:
        """The kit fitted."""
        return self.unit.kits.get(self.word("identity.kit"))

    @property
    def supply(self) -> Mapping[str, Any] | None:
        """The supply declared, or the only one there is."""
        listed = self.unit.supplies
        return listed.get(self.word("identity.supply")) or (
            next(iter(listed.values())) if len(listed) == 1 else None
        )

    def holds(self, setting: str, address: str, before: int | None = None) -> str | None:
        """What a place was last seen to hold."""
        seen = [v for n, _, v in self.places.get((setting, address), ()) if before is None or n < before]
        return seen[-1] if seen else None

    def held(self, setting: str, before: int | None = None) -> str | None:
        """What a setting was last seen to hold, where that is one value."""
        if setting not in self.unit.settings:
            return None
        values = {self.holds(setting, at, before) for at in self.unit.addresses(setting)}
        return values.pop() if len(values) == 1 else None

    def offered(self, topic: Mapping[str, Any], before: int | None = None) -> list[Mapping[str, Any]]:
        """The options of a topic as the unit was found: orientation, kit, and other settings."""
        held = partial(self.held, before=before)
        return [o for o in topic["option"] if self._meets(o.get("when", {}), held)]

    def _meets(self, when: Mapping[str, Any], held: Callable[[str], str | None]) -> bool:
        there = {"orientation": self.word("identity.orientation"), "kit": self.word("identity.kit")}
        return all(there[name] in _listed(when[name]) for name in there if when.get(name)) and all(
            held(id) in _listed(values) for id, values in when.get("setting", {}).items()
        )

    def option(self, role: str, before: int | None = None) -> Mapping[str, Any] | None:
        """The option of a role that the control was last seen to hold."""
        for topic in self.unit.topics:
            if topic["role"] == role:
                for option in self.offered(topic, before):
                    if all(self.held(id, before) == value for id, value in option["set"].items()):
                        return option
        return None

    def choice(self, role: str) -> Mapping[str, Any] | None:
        """The option of a role that was chosen."""
        for topic in self.unit.topics:
            if topic["role"] == role and topic["id"] in self.chosen:
                ids = [o for o in topic["option"] if o["id"] == self.chosen[topic["id"]]]
                return next((o for o in ids if self._meets(o.get("when", {}), self.meant)), None)
        return None

    def meant(self, setting: str) -> str | None:
        """What a setting is to hold: by what was chosen, else what it was last seen to hold."""
        for topic in self.unit.topics:
            for option in topic["option"]:
                taken = self.chosen.get(topic["id"]) == option["id"] and setting in option["set"]
                when = option.get("when", {})
                if taken and not when.get("setting") and self._meets(when, self.held):
                    return str(option["set"][setting])
        return self.held(setting)

    def heat_allowed(self) -> frozenset[str]:
        """The roles by which heat may come on, as the control was last seen."""
        return frozenset(r for r in HEAT_ROLES if (o := self.option(r)) is not None and o.get("value"))

    @property
    def heat_kept_off(self) -> bool:
        """Whether no stage was chosen and the control shows that none may run."""
        chosen, now = self.choice("auxiliary-heat"), self.option("auxiliary-heat")
        return chosen is not None and not chosen.get("value") and now is not None and not now.get("value")

    def cycled(self, n: int) -> int | None:
        """The event by which power was off and on again after an event."""
        off = next((m for m, state in self.powered if m > n and state == "off"), None)
        return next((m for m, state in self.powered if off and m > off and state == "on"), None)


def _listed(found: Any) -> Sequence[str]:
    return [found] if isinstance(found, str) else found
