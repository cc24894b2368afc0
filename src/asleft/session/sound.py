"""Whether an event can be what this program wrote: a file may be forged, links and all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, assert_never

from asleft.equipment.accuracy import AccuracyError, parse_accuracy
from asleft.session.fields import field_of
from asleft.session.parts import ever_of
from asleft.session.payloads import (
    Acknowledged,
    Broke,
    Chose,
    CouldNot,
    Drilled,
    Entered,
    FoundSetting,
    Hinted,
    Mended,
    Noted,
    Powered,
    ReadSettingBack,
    Reported,
    Resumed,
    Retracted,
    Revealed,
    Reviewed,
    Sealed,
    Senseless,
    Signed,
    Used,
    Waived,
    WroteSetting,
)

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.session.events import Event


class Odd(NamedTuple):
    """An event that this program cannot have written, by its number, and why."""

    n: int
    why: str

    def __str__(self) -> str:
        return f"event {self.n} cannot be what this program wrote: {self.why}"


def sensible(events: Iterable[Event], equipment: Equipment) -> tuple[tuple[Event, ...], tuple[Odd, ...]]:
    """The events, the senseless ones told to be that and reckoned with nowhere; and which those are."""
    told: list[Event] = []
    odd: list[Odd] = []
    for event in events:
        why = senseless(event, equipment)
        if why:
            odd.append(Odd(event.n, why))
            event = replace(event, what=Senseless(event.what.kind, event.written(), why))
        told.append(event)
    return tuple(told), tuple(odd)


def senseless(event: Event, equipment: Equipment) -> str:
    """What about an event makes no sense for this unit, or nothing.

    Fields, topics, options, settings and addresses must exist, values must be of their kind and in its
    base unit. It says nothing about whether the values are true.
    """
    what = event.what
    match what:
        case Senseless():
            return what.why
        case Used():
            return _used(what)
        case Chose():
            topic = equipment.topic_of(what.topic)
            if topic is None or all(option.id != what.option for option in topic.option):
                return f"{what.topic}={what.option} is no option of this unit"
        case FoundSetting() | WroteSetting() | ReadSettingBack():
            setting = equipment.setting_of(what.setting)
            if setting is None or what.address not in setting.address:
                return f"{what.place} is no setting of this unit"
        case Retracted():
            if not 0 < what.of < event.n:
                return f"it takes back event {what.of}, which does not stand before it"
        case Entered():
            return _entered(what)
        case Mended():
            if what.part and what.part not in ever_of(equipment):
                return f"{what.part} is no part of this unit"
        case (
            Powered()
            | Acknowledged()
            | Waived()
            | Noted()
            | CouldNot()
            | Broke()
            | Reported()
            | Hinted()
            | Resumed()
            | Signed()
            | Sealed()
            | Reviewed()
            | Drilled()
            | Revealed()
        ):
            pass
        case _:
            assert_never(what)
    return ""


def _entered(what: Entered) -> str:
    field = field_of(what.field)
    if field is not None and field.choices and str(what.value) not in field.choices:
        return f"{str(what.value)!r} is none of the choices of {what.field}"
    return ""


def _used(what: Used) -> str:
    for line in what.accuracy:
        try:
            parse_accuracy(line)
        except AccuracyError as error:
            return str(error)
    return ""
