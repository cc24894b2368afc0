"""Calculations by name: the list, what one takes, its answer with the working, and the published tables."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, TextIO

from asleft.calc.catalogue import Calculation, Input, catalogue
from asleft.calc.guards import CalcError
from asleft.calc.typed import Given
from asleft.calc.working import Answer, Outcome, answer, base_unit, find_calculation
from asleft.line.by_instrument import WORD, known_limits
from asleft.line.text import say, wrapped
from asleft.quantity import KINDS
from asleft.tables import table_names, table_source

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument

FINE = 0
REFUSED = 2

_LONGEST_REFUSAL = 200


def run(
    argv: Sequence[str],
    *,
    tables: bool = False,
    as_json: bool = False,
    system: str = "ip",
    instruments: Mapping[str, Instrument] | None = None,
    out: TextIO | None = None,
    err: TextIO | None = None,
) -> int:
    """Answer ``work``: no name lists the calculations, a name alone shows its inputs, with inputs it is done.

    ``instruments`` may be named behind a reading, `238.2 V by ID`, for its uncertainty. ``tables`` lists
    instead the published tables, all of them or those that the named calculation reads.
    Writes to ``out`` and ``err``, standard output and error unless told. Gives the exit code: 0, or 2 for a
    refused input, which writes one line on ``err`` that names it and nothing on ``out``.
    """
    try:
        text = _tables(argv, as_json) if tables else _text(argv, as_json, system, instruments or {})
    except CalcError as error:
        say(_one_line(f"work: {error}"), err or sys.stderr)
        return REFUSED
    say(text, out or sys.stdout)
    return FINE


def _text(argv: Sequence[str], as_json: bool, system: str, instruments: Mapping[str, Instrument]) -> str:
    if not argv:
        every = catalogue().values()
        return _dumps({"calculations": list(map(_entry, every))}) if as_json else _list(every)
    if len(argv) == 1:
        calculation = find_calculation(argv[0])
        return _dumps(_entry(calculation)) if as_json else _description(calculation, system)
    typed = _pairs(argv[1:])
    if any(WORD in text for text in typed.values()):
        kinds = {entry.name: entry.kind for entry in find_calculation(argv[0]).inputs}
        typed = {n: known_limits(n, kinds.get(n, ""), text, instruments) for n, text in typed.items()}
    done = answer(argv[0], typed)
    return _dumps(_as_json(done, system)) if as_json else _answer(done, system)


def _tables(argv: Sequence[str], as_json: bool) -> str:
    if len(argv) > 1:
        raise CalcError(argv[1] or "''", "not used with --tables", "a calculation's name alone")
    names = find_calculation(argv[0]).tables if argv else table_names()
    if as_json:
        return _dumps({"tables": [asdict(table_source(name)) for name in names]})
    if not names:
        return f"{argv[0]} reads no published table"
    return "\n\n".join("\n".join(_table(name)) for name in names)


def _table(name: str) -> list[str]:
    table = table_source(name)
    lines = [name, wrapped(table.title, "  ")]
    for label, text in (("source", table.source), ("edition", table.edition), ("numbers", table.seen)):
        lines.append(wrapped(f"{label:<8} {text}", "  "))
    return lines


def _one_line(text: str) -> str:
    plain = "".join(letter if letter.isprintable() else "?" for letter in text)
    return plain if len(plain) <= _LONGEST_REFUSAL else plain[: _LONGEST_REFUSAL - 1] + "…"


def _dumps(value: Mapping[str, Any]) -> str:
    return json.dumps(value, allow_nan=False)


def _pairs(arguments: Sequence[str]) -> dict[str, str]:
    typed: dict[str, str] = {}
    for argument in arguments:
        name, equals, text = argument.partition("=")
        if not equals or not name:
            raise CalcError(argument or "''", "not an input", "name=value")
        if name in typed:
            raise CalcError(name, "given twice", "each input once")
        typed[name] = text
    return typed


def _list(every: Iterable[Calculation]) -> str:
    lines: list[str] = []
    subject = ""
    every = list(every)
    width = max(len(calculation.name) for calculation in every)
    subjects = list(dict.fromkeys(calculation.subject for calculation in every))
    for calculation in sorted(every, key=lambda found: subjects.index(found.subject)):
        if calculation.subject != subject:
            subject = calculation.subject
            lines += ["", subject] if lines else [subject]
        lines.append(f"  {calculation.name:<{width}}  {calculation.title}")
    return "\n".join(lines)


def _units(entry: Input) -> str:
    if entry.choices:
        return " or ".join(entry.choices)
    if entry.kind == "size":
        return "conductor size"
    if entry.kind not in KINDS:
        return "any kind, with its unit" if entry.kind == "reading" else "any kind, or plain numbers"
    kinds = [KINDS[entry.kind]] + ([KINDS[entry.or_kind]] if entry.or_kind else [])
    units = dict.fromkeys(unit for kind in kinds for unit in (kind.ip_unit, kind.si_unit) if unit)
    text = f"{kinds[0].label}, {' or '.join(units)}" if units else f"{kinds[0].label}, a plain number"
    return text + ("; several, separated by commas" if entry.list else "")


def _need(entry: Input) -> str:
    if entry.default is not None:
        return f" (default {entry.default})"
    return " (may be left out)" if entry.optional else ""


def _description(calculation: Calculation, system: str) -> str:
    names = [entry.name for entry in calculation.inputs] + [result.name for result in calculation.results]
    width = max(map(len, names))
    lines = [f"{calculation.name}: {calculation.title}", "", "inputs"]
    lines += [f"  {entry.name:<{width}}  {_units(entry)}{_need(entry)}" for entry in calculation.inputs]
    lines += ["results"]
    for result in calculation.results:
        label = KINDS[result.kind].label if result.kind in KINDS else result.kind
        lines.append(f"  {result.name:<{width}}  {label}")
    lines += ["", f"formula  {calculation.formula}", f"limits   {calculation.limits}"]
    lines.append(f"source   {calculation.source}")
    if calculation.tables:
        lines.append(f"tables   asleft work {calculation.name} --tables says where each was seen:")
        lines += [f"  {name}: {_cited(name)}" for name in calculation.tables]
    lines += ["", "worked example"]
    lines.append(
        f"  asleft work {calculation.name} " + " ".join(_quoted(pair) for pair in calculation.example)
    )
    done = answer(calculation.name, _pairs(calculation.example))
    lines += [f"  {line}" for line in _results(done, system)]
    return "\n".join(lines)


def _cited(name: str) -> str:
    table = table_source(name)
    return f"{table.source}, {table.edition}"


def _quoted(pair: str) -> str:
    return f"'{pair}'" if any(letter in pair for letter in ' "()') else pair


def _results(done: Answer, system: str) -> list[str]:
    width = max(len(outcome.result.name) for outcome in done.outcomes)
    lines = []
    for outcome in done.outcomes:
        line = f"{outcome.result.name:<{width}}  {outcome.shown_with_uncertainty(system)}"
        other = "ip" if system == "si" else "si"
        if outcome.shown(other) != outcome.shown(system):
            line += f"  = {outcome.shown(other)}"
        lines.append(line)
    return lines


def _answer(done: Answer, system: str) -> str:
    calculation = done.calculation
    lines = [f"{calculation.name}: {calculation.title}", ""]
    lines += [f"formula  {calculation.formula}", "working"]
    lines += [f"  {step}" for step in done.working(system)]
    assumed = [f"{given.input.name} {given.shown(system)}" for given in done.inputs if given.typed is None]
    if assumed:
        lines.append(f"assumed  {', '.join(assumed)}")
    lines.append(f"source   {calculation.source}")
    if calculation.tables:
        lines.append(f"tables   {', '.join(calculation.tables)}")
    lines += [f"limits   {calculation.limits}", ""]
    return "\n".join([*lines, *_results(done, system)])


def _entry(calculation: Calculation) -> dict[str, Any]:
    return {
        "name": calculation.name,
        "subject": calculation.subject,
        "title": calculation.title,
        "inputs": [
            {
                "name": entry.name,
                "kind": entry.kind,
                "unit": base_unit(entry.kind),
                "default": entry.default,
                "optional": entry.optional,
                "list": entry.list,
                "choices": list(entry.choices),
            }
            for entry in calculation.inputs
        ],
        "results": [
            {"name": result.name, "kind": result.kind, "unit": base_unit(result.kind)}
            for result in calculation.results
        ],
        "formula": calculation.formula,
        "source": calculation.source,
        "limits": calculation.limits,
        "tables": list(calculation.tables),
        "example": list(calculation.example),
    }


def _as_json(done: Answer, system: str) -> dict[str, Any]:
    return {
        "name": done.calculation.name,
        "inputs": {given.input.name: _given_json(given, system) for given in done.inputs},
        "results": {outcome.result.name: _outcome_json(outcome, system) for outcome in done.outcomes},
        "formula": done.calculation.formula,
        "working": "; ".join(done.working(system)),
        "source": done.calculation.source,
    }


def _given_json(given: Given, system: str) -> Any:
    items = [
        {
            "value": item.value,
            "unit": base_unit(item.kind),
            "shown": item.shown(system, given.input.unit),
            **({"uncertainty": item.expanded} if item.expanded else {}),
        }
        if not isinstance(item.value, str)
        else item.value
        for item in given.items
    ]
    if given.input.list:
        return items
    return items[0] if items else None


def _outcome_json(outcome: Outcome, system: str) -> Any:
    if outcome.value is None:
        return outcome.result.none_word
    if isinstance(outcome.value, str):
        return outcome.value
    return {
        "value": outcome.value,
        "unit": base_unit(outcome.kind),
        "shown": outcome.shown(system),
        **({"uncertainty": outcome.expanded} if outcome.expanded is not None else {}),
    }
