"""Whether a value, an event or a header has the shape the session file gives it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from math import isfinite

from asleft.session.kinds import HEADER, KINDS, Form, Key, keys_of

_LARGEST = 2**63
_HEX = frozenset("0123456789abcdef")

_STRINGS = frozenset({str})

Check = Callable[[object], bool]


def is_utc(value: object) -> bool:
    """Whether this is text such as ``2031-05-04T09:30:00Z``, with or without a fraction of a second."""
    if not isinstance(value, str) or not value.endswith("Z") or not value.isascii():
        return False
    if len(value) != 20 and not (22 <= len(value) <= 27 and value[19] == "." and value[20:-1].isdigit()):
        return False
    if value[4] + value[7] + value[10] + value[13] + value[16] != "--T::":
        return False
    try:
        datetime.fromisoformat(value[:19])
    except ValueError:
        return False
    return True


def _is_text(value: object) -> bool:
    return type(value) is str


def _is_count(value: object) -> bool:
    return type(value) is int and 0 <= value < _LARGEST


def _is_number(value: object) -> bool:
    if type(value) is float:
        return isfinite(value)
    return type(value) is int and -_LARGEST <= value < _LARGEST


def _is_scalar(value: object) -> bool:
    return type(value) is str or type(value) is bool or _is_number(value)


def _is_texts(value: object) -> bool:
    return type(value) is list and _STRINGS.issuperset(map(type, value))


def _is_numbers(value: object) -> bool:
    return type(value) is list and all(map(_is_number, value))


_CHECKS: Mapping[Form, Check] = {
    Form.TEXT: _is_text,
    Form.UTC: is_utc,
    Form.COUNT: _is_count,
    Form.SCALAR: _is_scalar,
    Form.TEXTS: _is_texts,
    Form.NUMBERS: _is_numbers,
}


def fits(key: Key, value: object) -> bool:
    """Whether the key can hold this value."""
    return _CHECKS[key.form](value) and (not key.words or value in key.words)


def is_link(value: object) -> bool:
    """Whether this is 64 lower-case hexadecimal characters."""
    return isinstance(value, str) and len(value) == 64 and _HEX.issuperset(value)


def _wants(key: Key) -> str:
    if key.words and len(key.words) < 5:
        return " or ".join(f'"{word}"' for word in key.words)
    return key.form.value


def keys_trouble(given: Mapping[str, object], keys: Sequence[Key], ordered: bool) -> str:
    """What is wrong with these keys and values, in part of a sentence; empty when nothing is."""
    names = [key.name for key in keys]
    for name in given:
        if name not in names:
            return f"the key {name!r} does not belong here"
    for key in keys:
        if key.name not in given:
            if not key.optional:
                return f"the key {key.name!r} is missing"
        elif not fits(key, given[key.name]):
            return f"{key.name!r} should be {_wants(key)}"
    if ordered and [name for name in names if name in given] != list(given):
        return "the keys are out of order"
    return ""


def event_trouble(event: Mapping[str, object], *, linked: bool) -> str:
    """What is wrong with an event, in part of a sentence; empty when nothing is.

    ``linked``: it comes from a file, so its keys are in order and ``link`` is the last.
    """
    kind = event.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        return f"{kind!r} is no kind of event" if "kind" in event else "the key 'kind' is missing"
    keys = keys_of(kind)
    return keys_trouble(event, (*keys, Key("link")) if linked else keys, linked)


def header_trouble(document: Mapping[str, object]) -> str:
    """What is wrong with a parsed header, in part of a sentence; empty when nothing is."""
    if list(document) != ["format", *HEADER]:
        return "it should hold format, [session], [equipment] and [chain], in that order, and nothing else"
    for name, keys in HEADER.items():
        table = document[name]
        if not isinstance(table, Mapping):
            return f"{name!r} should be a table"
        trouble = keys_trouble(table, keys, ordered=True)
        if trouble:
            return f"[{name}]: {trouble}"
    return ""


_seen: dict[tuple[object, ...], tuple[tuple[str, Check], ...]] = {}


def _left_to_check(event: Mapping[str, object], kind: str) -> tuple[tuple[str, Check], ...]:
    kinds_keys = {key.name: key for key in keys_of(kind)}
    left: list[tuple[str, Check]] = []
    for name, value in event.items():
        key = kinds_keys.get(name)
        if key is None or name == "kind" or (type(value) in (str, bool) and not _more_than_type(key)):
            continue
        left.append((name, partial(fits, key) if key.words else _CHECKS[key.form]))
    return tuple(left)


def _more_than_type(key: Key) -> bool:
    return bool(key.words) or key.form is Form.UTC


def is_event(event: Mapping[str, object], *, linked: bool) -> bool:
    """Whether an event with its keys in order is right: the quick form of ``event_trouble``.

    Which keys and which types are right depends only on the kind, so that much is settled once for each
    combination met; what is left (finite, in range, one of few words) is looked at every time.
    """
    kind = event.get("kind")
    if type(kind) is not str:
        return False
    signature = (kind, *event, *map(type, event.values()))
    left = _seen.get(signature)
    if left is None:
        if event_trouble(event, linked=linked):
            return False
        left = _seen[signature] = _left_to_check(event, kind)
    for name, check in left:  # noqa: SIM110  a generator costs as much again as what is looked at
        if not check(event[name]):
            return False
    return True
