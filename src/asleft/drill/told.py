"""An invented site as a session would hold it, every reading the true one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from asleft.drill.invented import Settings, Site
from asleft.installation.behave import behave, option_in_force
from asleft.quantity import KINDS, parse
from asleft.session.fields import templates
from asleft.session.ledger import Ledger
from asleft.session.state import Event, State, fold

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment

_KIND = {template.id: template.kind for template in templates()}
_LEFT_OUT = frozenset(template.id for template in templates() if template.optional)
"""What a technician is never asked."""


def told(site: Site, equipment: Equipment, settings: Settings, choices: Mapping[str, str]) -> Ledger:
    """The job entered, these settings found, what the unit then reads, and options chosen by topic."""
    state = State()
    for n, (kind, data) in enumerate(_facts(site, equipment, settings, choices), 1):
        state = fold(state, Event(n, "2026-01-01T00:00:00Z", "site", kind, data))
    return Ledger(equipment, state)


def _facts(
    site: Site, equipment: Equipment, settings: Settings, choices: Mapping[str, str]
) -> Iterator[tuple[str, dict[str, str | float | bool]]]:
    for field, typed in site.job.items():
        if field in _LEFT_OUT or field.startswith(("identity.instrument", "signoff", "identity.address")):
            continue
        yield "entered", {"field": field, "typed": typed, "value": _meaning(field, typed)}
    for (setting, address), value in settings.items():
        yield "found", {"setting": setting, "address": address, "shown": value}
    heats = site.installation.kit and _heat_on(site, equipment, settings)
    for state in ("blower", "heat.all") if heats else ("blower",):
        for field, truth in behave(site.installation, equipment, settings, state).items():
            yield "entered", {"field": field, "typed": str(truth), "value": truth}
    for topic, option in choices.items():
        yield "chose", {"topic": topic, "option": option}


def _heat_on(site: Site, equipment: Equipment, settings: Settings) -> bool:
    where = (settings, site.installation.orientation, site.installation.kit)
    option = option_in_force(equipment, "auxiliary-heat", *where)
    return option is not None and bool(option.value)


def _meaning(field: str, typed: str) -> str | float | bool:
    kind = _KIND.get(field, "")
    if kind == "yes_no":
        return typed == "yes"
    return parse(typed, kind).value if kind in KINDS else typed
