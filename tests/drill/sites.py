"""Invented sites read truly, and set right, for the tests of the drill."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from asleft.drill.site import Site, site
from asleft.equipment.model import Option
from asleft.installation.behave import behave
from asleft.installation.estimate import estimate
from asleft.installation.forecast import forecast
from asleft.quantity import parse
from support import Told, demo_unit

Settings = dict[tuple[str, str], str]


@dataclass(frozen=True)
class Left:
    """A site, the options recommended there from its true readings, and its settings once they are in."""

    site: Site
    recommended: dict[str, Option]
    settings: Settings

    @property
    def wrong(self) -> int:
        """How many settings had to change."""
        return sum(self.site.settings[place] != value for place, value in self.settings.items())


def _entry(told: Told, field: str, typed: str) -> None:
    known = told.ledger.fields.get(field)
    if known is None or known.kind == "instrument" or field.startswith(("signoff", "identity.address")):
        return
    if known.kind == "yes_no":
        told.enter(field, typed == "yes")
    else:
        told.enter(field, typed if known.kind in ("text", "choice") else parse(typed, known.kind).value)


def read_through(found: Site, settings: Settings, *states: str) -> Told:
    """A visit that has read every field of these states truly."""
    told = Told(demo_unit())
    for field, typed in found.job.items():
        _entry(told, field, typed)
    for (setting, address), value in settings.items():
        told.event("found", setting=setting, address=address, shown=value)
    for state in states:
        for field, value in behave(found.installation, demo_unit(), settings, state).items():
            told.enter(field, value)
    return told


@cache
def left(seed: int) -> Left:
    """The site of a seed, set right."""
    unit = demo_unit()
    found = site(seed, unit)
    ledger = read_through(found, dict(found.settings), "blower").ledger
    outlook = forecast(ledger, estimate(ledger))
    recommended, settings = {}, dict(found.settings)
    for topic in unit.topic:
        option = ledger.option(topic, outlook.topics[topic.id].recommended or "")
        assert option is not None, (seed, topic.id)
        recommended[topic.role] = option
        for id, value in option.set.items():
            setting = unit.setting_of(id)
            assert setting is not None
            settings |= {(id, address): value for address in setting.address}
    return Left(found, recommended, settings)
