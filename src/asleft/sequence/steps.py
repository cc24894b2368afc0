"""One act of entering settings: what it is, whether it is done, and the words a person follows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import takewhile
from typing import TYPE_CHECKING, Literal, assert_never

from asleft.sequence.guards import HANDS, POWER_ON, acts_of_write
from asleft.session.acts import FindingName, Look, ReadBack, SwitchPower, Write
from asleft.session.payloads import WroteSetting

if TYPE_CHECKING:
    from asleft.equipment.model import Setting
    from asleft.session.ledger import Ledger

Place = tuple["Setting", str]
Meant = dict[tuple[str, str], str]

WRITES_ALLOWED = 2
"""A wrong read-back is written once more; a second wrong one is a failed SQ-3."""
LOOKS_ALLOWED = 2
"""A control that shows no value is looked at once more; what it shows then stands."""


@dataclass(frozen=True, slots=True)
class Step:
    """One act. `value` is what to set or what the control should show; `code` the characters to key.

    `keyed` are the parts of a code that is written, in turn, each with the address at which it is keyed.
    `ready` says that every step it must follow is done; `failed` that it was tried as often as it should be.
    `how` are the equipment file's own words; `why` is what the control answered in place of a value.
    """

    n: int
    do: Literal["look", "write", "read_back", "power"]
    setting: str = ""
    address: str = ""
    value: str = ""
    code: str = ""
    keyed: tuple[tuple[str, str], ...] = ()
    power: str = "on"
    guards: tuple[str, ...] = ()
    done: bool = False
    ready: bool = True
    failed: bool = False
    shown: str = ""
    text: str = ""
    how: tuple[str, ...] = ()
    why: str = ""

    @property
    def pending(self) -> bool:
        """Neither done nor given up."""
        return not self.done and not self.failed

    @property
    def act(self) -> Look | Write | ReadBack | SwitchPower:
        """What a person does and then says."""
        match self.do:
            case "look":
                return Look(self.setting, self.address)
            case "write":
                return Write(self.setting, self.address)
            case "read_back":
                return ReadBack(self.setting, self.address)
            case "power":
                return SwitchPower()
            case _:
                assert_never(self.do)

    @property
    def place(self) -> str:
        """`SETTING@ADDRESS`."""
        return f"{self.setting}@{self.address}"


def look(ledger: Ledger, place: Place) -> Step:
    """See what a setting holds, as found."""
    setting, address = place
    found = ledger.acts_on(setting.id, address, "found")
    return Step(
        0,
        "look",
        setting.id,
        address,
        code=ledger.equipment.queried(setting.id),
        power=setting.power,
        guards=_hands(setting),
        done=bool(found)
        and not taken_back(ledger, place)
        and (bool(last_write(ledger, [place])) or not asked_again(ledger, place, "found")),
        failed=_refused(ledger, setting, address),
        shown=found[-1].shown if found else "",
        text=f"Read “{setting.label}” at {_where(ledger, address)}, as found.",
        how=_how(ledger, setting, address, "read_back"),
        why=answered(ledger, place),
    )


def write(ledger: Ledger, place: Place, meant: Meant) -> Step:
    """Give a setting the value meant, once all that comes before it is right."""
    setting, address = place
    value = meant[setting.id, address]
    tries = _tries(ledger, setting, address, value)
    again, keying = " once more" if tries else "", _keying(ledger, place, value)
    code = ledger.equipment.code_of(setting.id, value)
    lost = bool(last_write(ledger, [place])) or (setting.id, address) in ledger.doubts.put_back
    return Step(
        0,
        "write",
        setting.id,
        address,
        value,
        code=code.keys if code else "",
        keyed=code.keyed(address) if code else (),
        power=setting.power,
        guards=acts_of_write(ledger, setting.id, value),
        done=written(ledger, place, meant),
        ready=all(
            (earlier.id, at) not in meant or written(ledger, (earlier, at), meant)
            for earlier, at in ledger.equipment.before(setting, address)
        ),
        failed=tries >= WRITES_ALLOWED or _refused(ledger, setting, address),
        shown=ledger.shown(setting.id, address) or "",
        text=f"Set “{setting.label}” to {value} at {_where(ledger, address)}{keying}{again}.",
        how=_how(ledger, setting, address, "change") + _how_to_confirm(ledger, place, value),
        why=answered(ledger, place) or (moved(ledger, place) if lost else ""),
    )


def read_back(ledger: Ledger, place: Place, meant: Meant) -> Step:
    """See what a setting holds after writing, and after power was cycled where it must be."""
    setting, address = place
    value = meant.get((setting.id, address))
    found = ledger.acts_on(setting.id, address, "found")
    expected = value if value is not None else (found[-1].shown if found else "")
    backs = ledger.acts_on(setting.id, address, "read_back")
    own = last_write(ledger, [place])
    anything = ledger.wrote[-1] if ledger.wrote else 0
    since = in_force_since(ledger, place) if own else anything if setting.power == "on" else 0
    disturbed = ledger.disturbed(setting.id, address)
    if since is not None:
        since = max(since, disturbed.n if disturbed else 0, ledger.out_of_sight)
    coded = ledger.equipment.code_of(setting.id, expected)
    display = coded.shown if coded else expected
    done = bool(backs) and since is not None and backs[-1].n > since
    done = done and not asked_again(ledger, place, "read_back")
    right = value is None or written(ledger, place, meant) or bool(backs)
    return Step(
        0,
        "read_back",
        setting.id,
        address,
        expected,
        code=ledger.equipment.queried(setting.id),
        power=setting.power,
        guards=_hands(setting),
        done=done,
        ready=right and since is not None and max(anything, ledger.out_of_sight) > 0,
        failed=not done and _refused(ledger, setting, address),
        shown=backs[-1].shown if backs else "",
        text=f"Read back “{setting.label}” at {_where(ledger, address)}: {display}.",
        how=_how(ledger, setting, address, "read_back"),
        why=answered(ledger, place) or moved(ledger, place),
    )


def power(state: Literal["on", "off"], text: str, *, done: bool, ready: bool) -> Step:
    """Switch power at the unit."""
    return Step(
        0,
        "power",
        value=state,
        power="off" if state == "on" else "on",
        guards=(POWER_ON,) if state == "on" else (),
        done=done,
        ready=ready,
        text=text,
    )


# ---- what has happened so far


def written(ledger: Ledger, place: Place, meant: Meant) -> bool:
    """Whether a setting was last seen to hold the value meant, and nothing has reset it since."""
    setting, address = place
    return ledger.held(setting.id, address) == meant[setting.id, address]


def last_write(ledger: Ledger, places: Iterable[Place]) -> int:
    """The number of the newest write at any of these places, 0 where there is none."""
    return max((a.n for s, p in places for a in ledger.acts_on(s.id, p, "wrote")), default=0)


def taken_back(ledger: Ledger, place: Place) -> bool:
    """Whether a write at a place was taken back, and nobody has looked at it since.

    The record is told that it was not so; only a look can say what the control holds.
    """
    state, (setting, address) = ledger.state, place
    if not state.retracted:
        return False
    seen = ledger.acts_on(setting.id, address)
    since = seen[-1].n if seen else 0
    gone = (e.what for e in state.history if e.n > since and e.n in state.retracted)
    return any(isinstance(w, WroteSetting) and (w.setting, w.address) == (setting.id, address) for w in gone)


def in_force_since(ledger: Ledger, place: Place) -> int | None:
    """The event after which the newest write is in force; None while power still has to be off and on."""
    own = last_write(ledger, [place])
    if not place[0].waits or not own:
        return own
    return ledger.cycled(own)


def asked_again(ledger: Ledger, place: Place, kind: Literal["found", "read_back"]) -> bool:
    """Whether the control showed no value when it was last looked at, and is to be looked at once more."""
    setting, address = place
    odd = list(
        takewhile(
            lambda act: ledger.no_value(setting.id, act.shown) is not None,
            reversed(ledger.acts_on(setting.id, address, kind)),
        )
    )
    since = _mended(ledger, place)
    return bool(odd) and sum(act.n > since for act in odd) < LOOKS_ALLOWED


def answered(ledger: Ledger, place: Place) -> str:
    """What the control showed last, where that is no value, and what to do about it; else nothing."""
    setting, address = place
    acts = ledger.acts_on(setting.id, address)
    odd = ledger.no_value(setting.id, acts[-1].shown) if acts else None
    return f"The control answered {odd}. {odd.do}".rstrip() if odd else ""


def moved(ledger: Ledger, place: Place) -> str:
    """What may have moved a setting since it was last looked at: a write, a repair, damage; else nothing."""
    setting, address = place
    disturbed = ledger.disturbed(setting.id, address)
    if not ledger.unsure(setting.id, address):
        return ""
    if disturbed is None or disturbed.n < ledger.out_of_sight:
        if ledger.out_of_sight == ledger.state.damaged_at:
            return f"The record was damaged since, and may have lost what “{setting.label}” was set to."
        return f"The control was repaired since, and “{setting.label}” may not hold what it held."
    leader = ledger.equipment.setting_of(disturbed.by.setting)
    label = leader.label if leader else disturbed.by.setting
    return f"“{label}” was written since, and “{setting.label}” may not hold what it held."


def _mended(ledger: Ledger, place: Place) -> int:
    """The newest event in which the read-back of a setting was mended, 0 where it was not."""
    name = FindingName("SQ-3", f"setting.{place[0].id}@{place[1]}")
    return max((n for n, mend in ledger.mends if mend.finding == name), default=0)


def _tries(ledger: Ledger, setting: Setting, address: str, value: str) -> int:
    """How often this value did not take since it was chosen or somebody mended something here.

    It did not take where the control showed another one as it was written, or read back. What another write
    may have moved since did not fail to take.
    """
    disturbed = ledger.disturbed(setting.id, address)
    moved = max(disturbed.by.n if disturbed else 0, ledger.out_of_sight)
    since = max(_mended(ledger, (setting, address)), moved)
    chosen = max(
        (
            ledger.state.choices[topic.id].n
            for topic in ledger.equipment.topic
            if (option := ledger.chosen(topic)) is not None and setting.id in option.set
        ),
        default=0,
    )
    writes = [a for a in ledger.acts_on(setting.id, address, "wrote") if a.n > since]
    missed = sum(1 for a in writes if a.n > chosen and a.shown != value)
    first = next((a.n for a in writes if a.shown == value), None)
    if first is None:
        return missed
    return missed + sum(
        1 for a in ledger.acts_on(setting.id, address, "read_back") if a.n > first and a.shown != value
    )


def _refused(ledger: Ledger, setting: Setting, address: str) -> bool:
    """Whether somebody noted that this setting cannot be got at, and nothing was seen of it since."""
    subject = f"setting.{setting.id}@{address}"
    last = max((a.n for a in ledger.acts_on(setting.id, address)), default=0)
    return any(
        isinstance(note.what, FindingName) and note.what.subject == subject and n > last
        for n, note in ledger.could_not
    )


# ---- in words


def _hands(setting: Setting) -> tuple[str, ...]:
    return (HANDS,) if setting.power == "off" else ()


def _where(ledger: Ledger, address: str) -> str:
    found = next((a for a in ledger.equipment.address if a.id == address), None)
    return found.label if found else address


def _keying(ledger: Ledger, place: Place, value: str) -> str:
    """What is keyed, part by part, and where the last of it is keyed if that is elsewhere."""
    setting, address = place
    code = ledger.equipment.code_of(setting.id, value)
    if code is None:
        return ""
    words = " by keying " + ", then ".join(code.write)
    for at, keyed in code.keyed(address)[len(code.write) :]:
        words += f", and {keyed} " + ("to confirm it" if at == address else f"at {_where(ledger, at)}")
    return words


def _how_to_confirm(ledger: Ledger, place: Place, value: str) -> tuple[str, ...]:
    """How to get to the other address at which a code is confirmed, and away from it."""
    setting, address = place
    code = ledger.equipment.code_of(setting.id, value)
    there = code.keyed(address)[-1][0] if code else address
    found = ledger.equipment.procedure.get(there) if there != address else None
    return (*found.reach, *found.leave) if found else ()


def _how(ledger: Ledger, setting: Setting, address: str, part: str) -> tuple[str, ...]:
    procedures = ledger.equipment.procedure
    lines: list[str] = []
    if (place := procedures.get(address)) is not None:
        lines.extend(place.reach)
    for key in (setting.entry, address):
        if (procedure := procedures.get(key)) is not None and getattr(procedure, part):
            lines.extend(getattr(procedure, part))
            if part == "change":
                lines.extend(procedure.store)
            break
    if place is not None:
        lines.extend(place.leave)
    return tuple(lines)
