"""What can happen in a session: every kind of event, its keys and the order they are written in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Form(StrEnum):
    """What a key holds in the file."""

    TEXT = "a string"
    UTC = "a UTC time such as 2031-05-04T09:30:00Z"
    COUNT = "a whole number, 0 or more"
    SCALAR = "a string, a finite number, true or false"
    TEXTS = "a list of strings"
    NUMBERS = "a list of finite numbers"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its name, what it holds, whether it may be left out, and the only words it takes, if few."""

    name: str
    form: Form = Form.TEXT
    optional: bool = False
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of event: its name, what it says happened, and the keys of its own in written order."""

    name: str
    meaning: str
    keys: tuple[Key, ...] = ()


def _text(*names: str) -> tuple[Key, ...]:
    return tuple(Key(name) for name in names)


_SETTING = _text("setting", "address", "shown")

_ALL = (
    Kind(
        "entered",
        "a person told the wizard a field; what was typed stands beside what it means",
        (
            *_text("field", "typed"),
            Key("value", Form.SCALAR),
            Key("unit", optional=True),
            Key("readings", Form.NUMBERS, optional=True),
            Key("plus_minus", Form.SCALAR, optional=True),
            Key("instrument", optional=True),
            Key("read_at", Form.UTC, optional=True),
        ),
    ),
    Kind("chose", "an option was taken", _text("topic", "option")),
    Kind(
        "used",
        "an instrument was named for a field",
        (
            *_text("field", "instrument", "name"),
            Key("accuracy", Form.TEXTS),
            Key("calibrated_until", optional=True),
        ),
    ),
    Kind(
        "found",
        "a setting was looked at before anything was changed",
        (*_SETTING, Key("code", optional=True)),
    ),
    Kind("wrote", "a setting was written", (*_SETTING, Key("code", optional=True))),
    Kind(
        "read_back", "a setting was looked at after it was written", (*_SETTING, Key("code", optional=True))
    ),
    Kind("powered", "the unit was switched off or on", (Key("state", words=("on", "off")),)),
    Kind("acknowledged", "a caution was read and agreed to", _text("id")),
    Kind("waived", "a failed finding was let stand, with a reason", _text("id", "subject", "why")),
    Kind(
        "noted",
        "something was said: plainly, as a mend, a refusal or a broken hold; in a drill a fault or a hint",
        (
            Key("text"),
            Key("mends", optional=True),
            Key("affects", Form.TEXTS, optional=True),
            Key("part", optional=True),
            Key("refused", optional=True),
            Key("broke", optional=True),
            Key("reports", optional=True),
            Key("evidence", Form.NUMBERS, optional=True),
            Key("hint", Form.COUNT, optional=True),
        ),
    ),
    Kind("retracted", "an earlier event was taken back", (Key("of", Form.COUNT), Key("why"))),
    Kind(
        "resumed",
        "the session was opened again, where the clock was so far ahead of UTC; after damage, power unknown",
        (Key("zone", optional=True), Key("damaged", Form.SCALAR, optional=True)),
    ),
    Kind(
        "signed",
        "the session was signed with its outcome",
        (Key("outcome", words=("commissioned", "not commissioned")),),
    ),
    Kind("sealed", "a key signed an event's link", (Key("of", Form.COUNT), Key("signature", Form.TEXTS))),
    Kind(
        "reviewed",
        "a supervisor accepted the session as it stood after the event of this link, or sent it back",
        (*_text("outcome", "why"), Key("of_link", optional=True)),
    ),
    Kind(
        "drilled",
        "a drill began: the salted hash of its hidden sheet",
        (Key("hash"), Key("level", Form.COUNT, optional=True)),
    ),
    Kind(
        "revealed",
        "a drill ended: its sheet and the salt; the hints that its rig counted, where the session says fewer",
        (Key("sheet", Form.TEXTS), Key("salt"), Key("hints", Form.COUNT, optional=True)),
    ),
)

KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _ALL})
"""Every kind of event by name."""

FIRST: tuple[Key, ...] = (
    Key("n", Form.COUNT),
    Key("at", Form.UTC),
    Key("by"),
    Key("kind", words=tuple(KINDS)),
)
"""The keys every event begins with."""

LAST: tuple[Key, ...] = (Key("verdicts", Form.TEXTS, optional=True),)
"""The keys every event ends with, before the ``link`` that the journal writes itself."""

HEADER: Mapping[str, tuple[Key, ...]] = MappingProxyType(
    {
        "session": (*_text("id", "mode", "app", "rules", "opened_by"), Key("follows", optional=True)),
        "equipment": (Key("sha256"), Key("lines", Form.TEXTS)),
        "chain": _text("link"),
    }
)
"""The tables of a session file's header, in order, each with its keys."""

_KEYS: Mapping[str, tuple[Key, ...]] = MappingProxyType(
    {kind.name: (*FIRST, *kind.keys, *LAST) for kind in _ALL}
)


def keys_of(kind: str) -> tuple[Key, ...]:
    """Every key of an event of this kind in written order, common ones included, ``link`` not.

    Raises ``KeyError`` for a kind that does not exist.

    >>> [key.name for key in keys_of("powered")]
    ['n', 'at', 'by', 'kind', 'state', 'verdicts']
    """
    return _KEYS[kind]
