"""Checks of what was found, written and read back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from asleft.checks.about import About
from asleft.checks.case import Case
from asleft.checks.listing import check
from asleft.sequence.steps import asked_again, in_force_since
from asleft.session.acts import Choose, Look, ReadBack, Write

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.equipment.model import Setting
    from asleft.session.state import SettingAct


def place_of(a: About) -> tuple[Setting, str]:
    """The setting and the address of a subject."""
    id, _, address = a.subject.removeprefix("setting.").partition("@")
    setting = a.ledger.equipment.setting_of(id)
    assert setting is not None
    return setting, address


def _places(case: Case) -> Iterator[tuple[str, str]]:
    yield from ((s.id, address) for s, address in case.ledger.equipment.places())


def _written(case: Case, place: tuple[str, str]) -> bool:
    return bool(case.ledger.acts_on(*place, "wrote"))


def planned_places(case: Case) -> tuple[str, ...]:
    """A subject for each setting and address that is planned or was written, else the unit."""
    found = tuple(
        f"setting.{id}@{address}"
        for id, address in _places(case)
        if (id, address) in case.planned or _written(case, (id, address))
    )
    return found or ("unit",)


def written_places(case: Case) -> tuple[str, ...]:
    """A subject for each setting and address that was written, else the unit."""
    found = tuple(f"setting.{id}@{address}" for id, address in _places(case) if _written(case, (id, address)))
    return found or ("unit",)


def meant_places(case: Case) -> tuple[str, ...]:
    """A subject for each setting and address with a value meant, or that shows none, else the unit."""
    found = tuple(
        f"setting.{id}@{address}"
        for id, address in _places(case)
        if (id, address) in case.planned or _shows_no_value(case, (id, address))
    )
    return found or ("unit",)


def _shows_no_value(case: Case, place: tuple[str, str]) -> bool:
    shown = case.ledger.shown(*place)
    return shown is not None and case.ledger.no_value(place[0], shown) is not None


def other_places(case: Case) -> tuple[str, ...]:
    """A subject for each setting and address that was not to change, else the unit."""
    found = tuple(
        f"setting.{id}@{address}" for id, address in _places(case) if not _to_change(case, (id, address))
    )
    return found or ("unit",)


def _to_change(case: Case, place: tuple[str, str]) -> bool:
    meant = case.planned.get(place)
    if meant is None:
        return False
    found = case.ledger.found_at(*place)
    return _written(case, place) or found is None or found.shown != meant


def _nothing_yet(a: About) -> Finding:
    """No setting is meant: either there is none, or nothing was chosen."""
    if not a.ledger.equipment.setting:
        return a.not_applicable("The equipment file lists no settings.")
    a.need(*(Choose(t.id) for t in a.ledger.equipment.topic))
    return a.not_measured("Nothing has been chosen yet.")


@check("SQ-1", planned_places)
def found_first(a: About) -> Finding:
    """What a setting held was recorded before it was written."""
    if a.subject == "unit":
        return _nothing_yet(a)
    setting, address = place_of(a)
    found = a.ledger.acts_on(setting.id, address, "found")
    wrote = a.ledger.acts_on(setting.id, address, "wrote")
    a.need(Look(setting.id, address))
    a.rest(*(f.n for f in found[:1]))
    if wrote and not (found and found[0].n < wrote[0].n):
        a.rest(wrote[0].n)
        return a.failed(f"“{setting.label}” was written before what it held was recorded.", mendable=False)
    if not found:
        return a.not_measured(f"“{setting.label}” has not been looked at yet.")
    if odd := a.ledger.no_value(setting.id, found[-1].shown):
        return a.passed(f"“{setting.label}” showed {odd}. That is on record as shown; no value is known.")
    return a.passed(f"“{setting.label}” was found at {found[0].shown}.")


def _meant_then(a: About, setting: Setting, n: int) -> str | None:
    """The value that the newest choice before an event meant."""
    taken = [values[setting.id] for m, values in a.case.taken if m < n and setting.id in values]
    return taken[-1] if taken else None


@check("SQ-2", written_places)
def written_right(a: About) -> Finding:
    """The newest write of a setting: a value meant, with power as it must be, after what it must follow."""
    if a.subject == "unit":
        return a.not_applicable("Nothing has been written yet.")
    setting, address = place_of(a)
    wrote = a.ledger.acts_on(setting.id, address, "wrote")
    last = wrote[-1]
    a.need(Write(setting.id, address))
    a.rest(*(w.n for w in wrote))
    then = _meant_then(a, setting, last.n)
    later = [v[setting.id] for n, v in a.case.taken if n > last.n and setting.id in v]
    allowed = [*([then] if then is not None else []), *later]
    found = a.ledger.acts_on(setting.id, address, "found")
    restored = len(wrote) > 1 or (setting.id, address) in a.case.planned
    if not allowed and found and last.shown == found[0].shown and restored:
        return a.passed(f"“{setting.label}” was put back to {last.shown}, as found.", mendable=False)
    odd = a.ledger.no_value(setting.id, last.shown)
    if last.shown not in allowed and not (odd and then is not None):
        meant = f"{allowed[-1]} is meant" if allowed else f"nothing is meant to be written at {address}"
        return a.failed(
            f"“{setting.label}” at {address} was written {last.shown}; {meant}.",
            mendable=False,
            do=f"Write {allowed[-1]}." if allowed else "Write back what was found, and the right address.",
        )
    power = next((p.state for p in reversed(a.ledger.state.powered) if p.n < last.n), "on")
    if power != setting.power:
        return a.failed(
            f"“{setting.label}” was written with power {power}; it is written with power {setting.power}.",
            mendable=False,
        )
    late = _not_before(a, setting, address, last.n)
    if late is not None:
        return a.failed(
            f"“{setting.label}” was written before “{late.label}”, which has to come first.",
            mendable=False,
            do=f"Write “{late.label}”, then “{setting.label}” again.",
        )
    if odd:
        return a.passed(f"“{setting.label}” was written, and the control answered {odd}.", mendable=False)
    corrected = sum(1 for w in wrote[:-1] if w.shown != last.shown)
    once = " after another value" if corrected else ""
    return a.passed(
        f"“{setting.label}” was written {last.shown}{once}, where and as it should be.", mendable=False
    )


def _not_before(a: About, setting: Setting, address: str, n: int) -> Setting | None:
    """A setting that had to hold its value before an event and did not."""
    for earlier, at in a.ledger.equipment.before(setting, address):
        meant = _meant_then(a, earlier, n)
        seen = [act for act in a.ledger.acts_on(earlier.id, at) if act.n < n]
        if meant is not None and (not seen or seen[-1].shown != meant):
            return earlier
    return None


@check("SQ-3", meant_places)
def read_back(a: About) -> Finding:
    """What the control shows again after the newest write, and after power was cycled where it must be."""
    if a.subject == "unit":
        return _nothing_yet(a)
    setting, address = place_of(a)
    value = a.case.planned.get((setting.id, address))
    acts = a.ledger.acts_on(setting.id, address)
    if value is None:
        return _shows_none(a, setting, address, acts[-1])
    reset = a.ledger.doubts.put_back.get((setting.id, address))
    if reset is not None and reset[1] != value:
        a.need(Write(setting.id, address))
        a.rest(reset[0].n)
        return a.not_measured(
            f"Writing “{_label(a, reset[0].setting)}” put “{setting.label}” back to {reset[1]}; "
            f"it has to be written {value} again."
        )
    wrote = [act for act in acts if act.kind == "wrote"]
    if not wrote:
        return _never_written(a, setting, address, value)
    last = wrote[-1]
    a.rest(last.n)
    backs = [act for act in acts if act.kind == "read_back" and act.n > last.n]
    if last.shown != value and not (backs and backs[-1].shown == value):
        if backs and a.ledger.no_value(setting.id, last.shown):
            return _wrong(a, setting, address, backs[-1], value)
        return _not_taken(a, setting, last, value)
    a.need(ReadBack(setting.id, address))
    since = in_force_since(a.ledger, (setting, address))
    wrong = [b for b in backs if b.shown != value]
    if backs and backs[-1].shown != value:
        return _wrong(a, setting, address, backs[-1], value)
    if since is None or not backs or backs[-1].n < since:
        cycle = " after power has been off and on" if since is None else ""
        return a.not_measured(f"“{setting.label}” has not been read back{cycle} yet.")
    if moved := _moved_since(a, setting, address, backs[-1].n):
        return moved
    a.rest(backs[-1].n)
    again = " at last" if wrong else ""
    return a.passed(f"“{setting.label}” reads back {value}{again}.")


def _label(a: About, setting_id: str) -> str:
    """A setting as the control shows it."""
    setting = a.ledger.equipment.setting_of(setting_id)
    return setting.label if setting else setting_id


def _happened(a: About) -> str:
    """What took every setting out of sight."""
    damaged = a.ledger.out_of_sight == a.ledger.state.damaged_at
    return "The record was damaged" if damaged else "The control was repaired"


def _moved_since(a: About, setting: Setting, address: str, n: int) -> Finding | None:
    """Not measured where a write that may move this setting came after it was seen, or was lost since."""
    if n < a.ledger.out_of_sight:
        a.rest(a.ledger.out_of_sight)
        return a.not_measured(f"{_happened(a)} since “{setting.label}” was seen: look at it again.")
    moved = a.ledger.disturbed(setting.id, address)
    if moved is None or moved.n < n:
        return None
    a.rest(moved.by.n)
    return a.not_measured(
        f"“{_label(a, moved.by.setting)}” was written since, and may have moved “{setting.label}”: "
        "it has not been read back yet."
    )


def _shows_none(a: About, setting: Setting, address: str, seen: SettingAct) -> Finding:
    """Nothing is meant for it, and what it shows is no value."""
    odd = a.ledger.no_value(setting.id, seen.shown)
    a.rest(seen.n)
    a.need((ReadBack if a.ledger.wrote else Look)(setting.id, address))
    text = f"“{setting.label}” answered {odd}."
    if seen.kind == "wrote" or asked_again(a.ledger, (setting, address), seen.kind):
        return a.not_measured(text, do=(odd.do if odd else "") or None)
    return a.failed(text, do=odd.do if odd and odd.do else "Find out why the control answers so.")


def _not_taken(a: About, setting: Setting, last: SettingAct, value: str) -> Finding:
    """The control showed something else as it was written, or answered with no value at all."""
    a.need(Write(setting.id, last.address))
    a.rest(last.n)
    odd = a.ledger.no_value(setting.id, last.shown)
    if odd is None:
        return a.not_measured(f"“{setting.label}” has not been written {value} yet.")
    text = f"“{setting.label}” answered {odd}. {value} was meant."
    if _given_up(a, setting, last.address):
        return a.failed(f"{text} It was written twice.", do=odd.do or "Find out why the control answers so.")
    again = f"Write {value} once more, and read back."
    return a.failed(f"{text} Write it once more.", mendable=False, do=f"{odd.do} {again}".lstrip())


def _given_up(a: About, setting: Setting, address: str) -> bool:
    """Whether it was written as often as it should be."""
    write = Write(setting.id, address)
    step = next((s for s in a.case.plan if s.act == write), None)
    return step is not None and step.failed


def _never_written(a: About, setting: Setting, address: str, value: str) -> Finding:
    seen = [act for act in a.ledger.acts_on(setting.id, address) if act.kind != "wrote"]
    a.rest(*(act.n for act in seen[-1:]))
    if not seen:
        a.need(Look(setting.id, address))
        return a.not_measured(f"“{setting.label}” has not been looked at yet.")
    if seen[-1].shown == value:
        if moved := _moved_since(a, setting, address, seen[-1].n):
            a.need(ReadBack(setting.id, address))
            return moved
        a.need((ReadBack if seen[-1].kind == "read_back" else Look)(setting.id, address))
        return a.passed(f"“{setting.label}” shows {value} and needed no writing.")
    a.need(Write(setting.id, address))
    if odd := a.ledger.no_value(setting.id, seen[-1].shown):
        return a.not_measured(
            f"“{setting.label}” answered {odd}. It has to be written {value}.", do=odd.do or None
        )
    return a.not_measured(f"“{setting.label}” shows {seen[-1].shown} and has to be written {value}.")


def _wrong(a: About, setting: Setting, address: str, back: SettingAct, value: str) -> Finding:
    a.rest(back.n)
    odd = a.ledger.no_value(setting.id, back.shown)
    shown = f"answered {odd}. {value}" if odd else f"reads back {back.shown}; {value}"
    text = f"“{setting.label}” {shown} was meant."
    moved = a.ledger.disturbed(setting.id, address)
    if moved is not None and moved.by.n > a.ledger.acts_on(setting.id, address, "wrote")[-1].n:
        return a.failed(
            f"{text} “{_label(a, moved.by.setting)}” was written after it.",
            mendable=False,
            do=f"Write {value} again, and read back.",
        )
    if _given_up(a, setting, address):
        do = {"do": odd.do} if odd and odd.do else {}
        return a.failed(f"{text} It was written twice.", **do)
    again = f"Write {value} once more, and read back."
    return a.failed(
        f"{text} Write it once more.",
        mendable=False,
        do=f"{odd.do} {again}".lstrip() if odd else again,
    )


@check("SQ-4", other_places)
def unchanged(a: About) -> Finding:
    """A setting that was not to change still shows what was found."""
    if a.subject == "unit":
        return a.not_applicable("Every setting is meant to change.")
    setting, address = place_of(a)
    wrote = a.ledger.wrote
    held = a.ledger.found_at(setting.id, address)
    backs = a.ledger.acts_on(setting.id, address, "read_back")
    a.need(ReadBack(setting.id, address))
    if held is None or not backs:
        unsure = a.ledger.unsure(setting.id, address)
        if not wrote and not unsure:
            return a.not_applicable("Nothing has been written yet.")
        if setting.power == "off" and not _written(a.case, (setting.id, address)) and not unsure:
            return a.not_applicable(f"Nothing keyed at a control moves “{setting.label}”.")
        if held is None:
            a.need_first(Look(setting.id, address))
        return a.not_measured(f"“{setting.label}” has not been read back since settings were written.")
    last = backs[-1]
    a.rest(held.n, last.n)
    if a.ledger.no_value(setting.id, last.shown):
        return a.not_applicable(f"What “{setting.label}” shows is no value: see SQ-3.")
    if odd := a.ledger.no_value(setting.id, held.shown):
        return a.not_measured(
            f"“{setting.label}” shows {last.shown}. As found it answered {odd}: nobody knows if it changed."
        )
    moved = a.ledger.disturbed(setting.id, address)
    if last.shown != held.shown and a.ledger.doubts.cleared((setting.id, address), held):
        a.need_first(Write(setting.id, address))
        lost = held.n < a.ledger.out_of_sight < last.n
        between = _happened(a) if lost or moved is None else f"“{_label(a, moved.by.setting)}” was written"
        return a.failed(
            f"“{setting.label}” shows {last.shown}; it was found at {held.shown}. {between} in between.",
            mendable=False,
            do=f"Write {held.shown} again, and read back.",
        )
    if last.shown != held.shown:
        return a.failed(
            f"“{setting.label}” shows {last.shown}; it was found at {held.shown} and not to change.",
            do=f"Find out what changed it, and put it back to {held.shown}.",
        )
    since = wrote[-1] if wrote and setting.power == "on" else moved.n if wrote and moved else 0
    if last.n < a.ledger.out_of_sight:
        return a.not_measured(f"{_happened(a)} since “{setting.label}” was seen: look at it again.")
    if last.n < since:
        return a.not_measured(f"“{setting.label}” has not been read back since the last setting was written.")
    return a.passed(f"“{setting.label}” still shows {last.shown}.")
