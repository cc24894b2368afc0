"""An invented site as a session would hold it, every reading the true one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from asleft.drill.invented import Settings, Site
from asleft.installation.behave import behave, option_in_force
from asleft.quantity import KINDS, parse, parse_size
from asleft.session.events import Event
from asleft.session.fields import Field, field_of, templates
from asleft.session.ledger import Ledger
from asleft.session.payloads import Chose, Entered, FoundSetting
from asleft.session.state import State, fold
from asleft.session.values import Amount, Count, Picked, Size, Value, Words, YesNo

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.installation.behave import Truth

_LEFT_OUT = frozenset(template.id for template in templates() if template.optional)
"""What a technician is never asked."""
_OF_THE_VISIT = ("identity.instrument", "signoff", "identity.address")
"""How the fields begin that tell of the visit, and not of the house."""


def told(site: Site, equipment: Equipment, settings: Settings, choices: Mapping[str, str]) -> Ledger:
    """The job entered, these settings found, what the unit then reads, and options chosen by topic."""
    state = State()
    for n, fact in enumerate(_facts(site, equipment, settings, choices), 1):
        state = fold(state, Event(n, "2026-01-01T00:00:00Z", "site", fact))
    return Ledger(equipment, state)


def _facts(
    site: Site, equipment: Equipment, settings: Settings, choices: Mapping[str, str]
) -> Iterator[Entered | FoundSetting | Chose]:
    for id, typed in site.job.items():
        field = field_of(id)
        if field is not None and id not in _LEFT_OUT and not id.startswith(_OF_THE_VISIT):
            yield Entered(id, typed, _meaning(field, typed))
    for (setting, address), value in settings.items():
        yield FoundSetting(setting, address, value)
    heats = site.installation.kit and _heat_on(site, equipment, settings)
    for state in ("blower", "heat.all") if heats else ("blower",):
        for id, truth in behave(site.installation, equipment, settings, state).items():
            # The physics tells more than anybody is asked for.
            if (field := field_of(id)) is not None:
                yield Entered(id, str(truth), _seen(field, truth))
    for topic, option in choices.items():
        yield Chose(topic, option)


def _heat_on(site: Site, equipment: Equipment, settings: Settings) -> bool:
    where = (settings, site.installation.orientation, site.installation.kit)
    option = option_in_force(equipment, "auxiliary-heat", *where)
    return option is not None and bool(option.value)


def _meaning(field: Field, typed: str) -> Value:
    """What is typed into a field of the job."""
    match field.kind:
        case "yes_no":
            return YesNo.of(typed == "yes")
        case "text":
            return Words(typed)
        case "choice":
            return Picked(typed)
        case "conductor_size":
            return Size(parse_size(typed))
        case "count":
            return Count(int(typed))
        case kind:
            return Amount(parse(typed, kind).value, KINDS[kind].base_unit)


def _seen(field: Field, truth: Truth) -> Value:
    """What is to be seen at the unit."""
    if isinstance(truth, bool):
        return YesNo.of(truth)
    if isinstance(truth, str):
        return Picked(truth)
    return Count(round(truth)) if field.kind == "count" else Amount(float(truth), KINDS[field.kind].base_unit)
