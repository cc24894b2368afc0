"""Events and headers as the bytes of a session file, and the links that chain them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256

import tomli_w

from asleft.journal.errors import Unwritable
from asleft.journal.escapes import escaped
from asleft.journal.shape import event_trouble, is_event, is_link, keys_trouble
from asleft.session.kinds import HEADER, KINDS, keys_of

FORMAT = 1
"""The format this version writes, and the newest it reads."""

HEADER_START = f"format = {FORMAT}\n\n[session]\n".encode()
EVENT_START = b"\n[[event]]\n"
LINES_START = "lines = ["
LINE_INDENT = "    "
_PLAIN = re.compile(r"[ !#-\[\]-~]*")


def link_of(previous: str, content: bytes) -> str:
    """The link that closes a block: SHA-256 (FIPS 180-4) over the previous link's characters, then the block.

    ``previous`` is empty for the header. ``content`` is every byte after the previous link line up to the
    link line that will hold the result.
    """
    return sha256(previous.encode("ascii") + content).hexdigest()


def link_line(link: str) -> bytes:
    """The line that closes a block."""
    return f'link = "{link}"\n'.encode("ascii")


def scalar(value: object) -> str:
    """A scalar as tomli-w formats it, with what that leaves raw and a terminal could obey escaped."""
    # Text that needs no escape at all is most of a session, and tomli-w would walk it a character at a time.
    if type(value) is str and _PLAIN.fullmatch(value):
        return f'"{value}"'
    return escaped(tomli_w.dumps({"_": value})[len("_ = ") : -1])


def key_lines(pairs: Mapping[str, object]) -> str:
    """Keys and values, one a line, arrays on one line."""
    lines = []
    for name, value in pairs.items():
        written = f"[{', '.join(map(scalar, value))}]" if isinstance(value, list) else scalar(value)
        lines.append(f"{name} = {written}\n")
    return "".join(lines)


def plain(value: object) -> object:
    """A value without the subclasses of builtins (words of an enumeration, tuples) that memory may hold."""
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str.__str__(value)
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value)
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


def _utf8(text: str, what: str) -> bytes:
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError as problem:
        half = problem.object[problem.start]
        raise Unwritable(
            f"{what} holds U+{ord(half):04X}, half of a character; give whole Unicode characters."
        ) from problem


def ordered_event(event: Mapping[str, object]) -> dict[str, object]:
    """The event with plain values and its keys in written order.

    Raises ``Unwritable`` naming the key that is unknown, missing, or holds what it cannot hold.
    """
    kind = event.get("kind")
    if type(kind) is str and kind in KINDS:
        ordered = {key.name: event[key.name] for key in keys_of(kind) if key.name in event}
        if len(ordered) == len(event) and is_event(ordered, linked=False):
            return ordered
    given = {name: plain(value) for name, value in event.items()}
    trouble = event_trouble(given, linked=False)
    if trouble:
        kind = given.get("kind")
        name = f"An event of kind {kind!r}" if kind in KINDS else "An event"
        raise Unwritable(f"{name} cannot be written: {trouble}.")
    return {key.name: given[key.name] for key in keys_of(str(given["kind"])) if key.name in given}


def event_bytes(previous_link: str, event: Mapping[str, object]) -> tuple[bytes, str]:
    """One event as the bytes that are appended, and its link.

    ``event`` holds ``n``, ``at``, ``by``, ``kind`` and the kind's own keys, in any order, without ``link``.
    Raises ``Unwritable`` for an event the file cannot hold.
    """
    if not is_link(previous_link):
        raise Unwritable(f"{previous_link!r} is no link; it should be 64 lower-case hexadecimal characters.")
    return block_bytes(previous_link, ordered_event(event))


def block_bytes(previous_link: str, ordered: Mapping[str, object]) -> tuple[bytes, str]:
    """The bytes and the link of an event that ``ordered_event`` gave."""
    content = EVENT_START + _utf8(key_lines(ordered), f"An event of kind {ordered['kind']!r}")
    link = link_of(previous_link, content)
    return content + link_line(link), link


def _table(name: str, pairs: Mapping[str, object]) -> str:
    return f"[{name}]\n{key_lines(pairs)}"


def _listed(lines: Iterable[str]) -> str:
    return "".join(f"{LINE_INDENT}{scalar(line)},\n" for line in lines)


def header_bytes(
    *,
    id: str,
    mode: str,
    app: str,
    rules: str,
    opened_by: str,
    follows: str | None,
    equipment_text: str,
) -> bytes:
    """The header of a new session file, its link line included.

    ``equipment_text`` is the equipment file's text with its line ends untouched; it is kept a line a string,
    so that joining the strings with LF gives its exact bytes. ``follows`` is the id of the session this one
    continues, or None. Raises ``Unwritable`` for what the file cannot hold.
    """
    session: dict[str, object] = {
        "id": id,
        "mode": mode,
        "app": app,
        "rules": rules,
        "opened_by": opened_by,
    }
    if follows is not None:
        session["follows"] = follows
    session = {name: plain(value) for name, value in session.items()}
    trouble = keys_trouble(session, HEADER["session"], ordered=True)
    if trouble:
        raise Unwritable(f"A session header cannot be written: {trouble}.")
    exact = _utf8(equipment_text, "The equipment file")
    content = b"".join(
        (
            f"format = {FORMAT}\n\n".encode(),
            _utf8(_table("session", session), "A session header"),
            b"\n",
            _table("equipment", {"sha256": sha256(exact).hexdigest()}).encode(),
            f"{LINES_START}\n{_listed(equipment_text.split(chr(10)))}]\n".encode(),
            b"\n[chain]\n",
        )
    )
    return content + link_line(link_of("", content))


def lines_text(lines: Sequence[str]) -> str:
    """The equipment file's text from the lines a header keeps."""
    return "\n".join(lines)
