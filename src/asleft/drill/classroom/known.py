"""What the trade knows of each kind of fault, read from faults.toml: what shows it and what reads alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import tomli

from asleft.session.payloads import Entered, SettingDone

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment
    from asleft.session.payloads import Payload

SETTING = "setting:"
"""What evidence begins with that is an act on a setting; a topic's role follows."""


@dataclass(frozen=True, slots=True)
class KnownFault:
    """One kind of fault. Its keys are explained at the head of faults.toml."""

    kind: str
    findings: tuple[str, ...]
    evidence: tuple[str, ...]
    tells: str
    parts: str
    read: tuple[str, ...]
    source: str
    set_right: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()
    mends: tuple[str, ...] = ()
    mended: str = ""
    place: str = ""

    @property
    def fields(self) -> tuple[str, ...]:
        """The part of the evidence that is field ids, with * and ? in them."""
        return tuple(e for e in self.evidence if not e.startswith(SETTING))

    @property
    def roles(self) -> tuple[str, ...]:
        """The part of the evidence that is roles of topics; * is any."""
        return tuple(e.removeprefix(SETTING) for e in self.evidence if e.startswith(SETTING))


@cache
def known_faults() -> Mapping[str, KnownFault]:
    """Every kind of fault by its name, in the order of the file."""
    data = tomli.loads(resources.files(__package__).joinpath("faults.toml").read_text("utf-8"))
    return MappingProxyType({item["kind"]: _known(item) for item in data["fault"]})


def _known(item: Mapping[str, Any]) -> KnownFault:
    lists = {key: tuple(v) for key, v in item.items() if isinstance(v, list)}
    return KnownFault(**{**item, **lists})


def shows(known: KnownFault, what: Payload, equipment: Equipment) -> bool:
    """Whether an event is evidence of a fault: a reading that shows it, or an act on a setting it is left in.

    What was read is not looked at.
    """
    if isinstance(what, Entered):
        return any(fnmatchcase(what.field, pattern) for pattern in known.fields)
    return isinstance(what, SettingDone) and what.setting in set(_settings(known.roles, equipment))


def _settings(roles: tuple[str, ...], equipment: Equipment) -> Iterator[str]:
    """The settings that carry an option of a topic of one of these roles."""
    for topic in equipment.topic:
        if any(fnmatchcase(topic.role, role) for role in roles):
            for option in topic.option:
                yield from option.set
