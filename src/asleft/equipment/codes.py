"""Codes that are keyed in: one for every value, and none that could be taken for another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from asleft.equipment.errors import Complaint, Path, described, nearest, printable
from asleft.equipment.nodes import Node


def code_complaints(root: Node) -> Iterator[Complaint]:
    """Complain of codes that are missing, belong nowhere, or cannot be told apart at their address."""
    settings = {name: s for s in root.tables("setting") if (name := s.text("id")) is not None}
    coded = {name: s for name, s in settings.items() if s.text("entry") == "code"}
    addresses = root.ids("address")
    rows = []
    for code in root.tables("code"):
        yield from _confirmed(code, addresses)
        name = code.text("setting")
        if name is None:
            continue
        if name in coded:
            rows.append((code, name))
            continue
        why = "which is not entered by code" if name in settings else "which is not a setting"
        expected = f"a setting entered by code: {nearest(name, coded)}"
        yield Complaint(code.child("setting").path, f"{described(name)}, {why}", expected)
    yield from _values(coded, rows)
    yield from _keys(coded, rows)
    yield from _answers(coded, rows)


_Rows = list[tuple[Node, str]]
"""Codes of settings that are entered by code, each with the id of its setting."""


def _values(coded: dict[str, Node], rows: _Rows) -> Iterator[Complaint]:
    given: dict[str, set[str]] = {}
    for code, name in rows:
        value, values = code.text("value"), coded[name].names("values")
        if value is None:
            continue
        path, found = code.child("value").path, described(value)
        if values and value not in values:
            yield Complaint(path, found, f"a value of {printable(name)}: {nearest(value, values)}")
        elif value in given.setdefault(name, set()):
            yield Complaint(path, f"{found} a second time", "one code for each value")
        given.setdefault(name, set()).add(value)
    for name, setting in coded.items():
        for node, value in setting.texts("values"):
            if value not in given.get(name, ()):
                yield Complaint(
                    node.path,
                    f"{described(value)}, for which there is no code",
                    f"a [[code]] for each value of {printable(name)}",
                )


def _confirmed(code: Node, addresses: list[str]) -> Iterator[Complaint]:
    at = code.text("confirm_at")
    if at is None:
        return
    path = code.child("confirm_at").path
    if at not in addresses:
        yield Complaint(path, described(at), f"the id of an address: {nearest(at, addresses)}")
    if code.child("confirm").value is None:
        yield Complaint(path, f"{described(at)} without what is keyed there", "confirm as well, or neither")


class _Keyed(NamedTuple):
    """Characters keyed one after another at one address, and what they do there."""

    node: Node
    address: str
    parts: tuple[str, ...]
    act: str
    meaning: tuple[str, ...]

    def may_share(self, other: _Keyed) -> bool:
        """Whether the same characters may stand for both: settings asked at once, codes confirmed alike."""
        return self.meaning == other.meaning or (self.act == other.act != "write")


def _keyed(coded: dict[str, Node], rows: _Rows) -> Iterator[_Keyed]:
    for code, name in rows:
        confirm, at = code.text("confirm"), code.text("confirm_at")
        for address in coded[name].names("address"):
            if parts := tuple(code.names("write")):
                meaning = ("write", name, code.text("value") or "")
                yield _Keyed(code.child("write"), address, parts, "write", meaning)
            if (query := code.text("query")) is not None:
                yield _Keyed(code.child("query"), address, (query,), "query", ("query", name))
            if confirm is not None:
                where = at or address
                yield _Keyed(code.child("confirm"), where, (confirm,), "confirm", ("confirm", name))


def _keys(coded: dict[str, Node], rows: _Rows) -> Iterator[Complaint]:
    """What is keyed at one address must not mean two things, nor begin something else."""
    whole: dict[tuple[str, tuple[str, ...]], _Keyed] = {}
    begun: dict[tuple[str, tuple[str, ...]], _Keyed] = {}
    told: set[Path] = set()
    for keyed in _keyed(coded, rows):
        beginnings = [keyed.parts[:n] for n in range(1, len(keyed.parts))]
        others = [whole.get((keyed.address, parts)) for parts in (*beginnings, keyed.parts)]
        others.append(begun.get((keyed.address, keyed.parts)))
        if any(other and not keyed.may_share(other) for other in others) and keyed.node.path not in told:
            told.add(keyed.node.path)
            yield Complaint(
                keyed.node.path,
                f"{' then '.join(map(described, keyed.parts))}, which already means something else there",
                "characters that mean one thing only, and begin nothing else",
            )
        whole.setdefault((keyed.address, keyed.parts), keyed)
        for parts in beginnings:
            begun.setdefault((keyed.address, parts), keyed)


def _answers(coded: dict[str, Node], rows: _Rows) -> Iterator[Complaint]:
    """One query asks a setting, and what is shown back must tell its values apart."""
    queries: dict[str, str] = {}
    answers: set[tuple[str, str, str]] = set()
    for code, name in rows:
        query, shown = code.text("query"), code.text("shown")
        if query is None:
            continue
        if queries.setdefault(name, query) != query:
            expected = f'the query of the other codes of {printable(name)}, "{printable(queries[name])}"'
            yield Complaint(code.child("query").path, described(query), expected)
        if shown is None:
            continue
        asked = [(address, query, shown) for address in coded[name].names("address")]
        if answers.intersection(asked):
            yield Complaint(
                code.child("shown").path,
                f"{described(shown)}, which this query already shows for another value",
                "what is shown for this value alone",
            )
        answers.update(asked)
