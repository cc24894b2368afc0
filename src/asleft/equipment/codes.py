"""Codes that are keyed in: one for every value, and none that could be taken for another."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.equipment.errors import Complaint, described, nearest, printable
from asleft.equipment.nodes import Node


def code_complaints(root: Node) -> Iterator[Complaint]:
    """Complain of codes that are missing, belong nowhere, or cannot be told apart at their address."""
    settings = {name: s for s in root.tables("setting") if (name := s.text("id")) is not None}
    coded = {name: s for name, s in settings.items() if s.text("entry") == "code"}
    rows = []
    for code in root.tables("code"):
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


def _keys(coded: dict[str, Node], rows: _Rows) -> Iterator[Complaint]:
    """Keying the same characters at one address must not mean two things."""
    meant: dict[tuple[str, str], tuple[str, str]] = {}
    for code, name in rows:
        for key, act in (("write", code.text("value") or ""), ("query", "")):
            keyed = code.text(key)
            if keyed is None:
                continue
            for address in coded[name].names("address"):
                before = meant.setdefault((address, keyed), (key, name + "\0" + act))
                clash = before != (key, name + "\0" + act)
                if clash and not (key == before[0] == "query"):
                    yield Complaint(
                        code.child(key).path,
                        f"{described(keyed)}, which already means something else at this address",
                        "characters that mean one thing only",
                    )
                    break


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
