"""Calculations by name from the command line: the list, one's inputs, or its answer with the working."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from typing import Any, TextIO

from asleft.calc.catalogue import Calculation, Input, catalogue
from asleft.calc.guards import CalcError
from asleft.calc.typed import Given
from asleft.calc.working import Answer, Outcome, answer, base_unit, find_calculation
from asleft.quantity import KINDS

FINE = 0
REFUSED = 2

_LONGEST_REFUSAL = 200


def run(
    argv: Sequence[str],
    *,
    as_json: bool = False,
    system: str = "ip",
    out: TextIO | None = None,
    err: TextIO | None = None,
) -> int:
    """Answer ``work``: no name lists the calculations, a name alone shows its inputs, with inputs it is done.

    Writes to ``out`` and ``err``, standard output and error unless told. Gives the exit code: 0, or 2 for a
    refused input, which writes one line on ``err`` that names it and nothing on ``out``.
    """
    written, refused = out or sys.stdout, err or sys.stderr
    try:
        if not argv:
            text = _dumps({"calculations": list(map(_entry, catalogue().values()))}) if as_json else _list()
        elif len(argv) == 1:
            calculation = find_calculation(argv[0])
            text = _dumps(_entry(calculation)) if as_json else _description(calculation, system)
        else:
            done = answer(argv[0], _pairs(argv[1:]))
            text = _dumps(_as_json(done, system)) if as_json else _answer(done, system)
    except CalcError as error:
        _write(refused, _one_line(f"work: {error}"))
        return REFUSED
    _write(written, text)
    return FINE


def _write(stream: TextIO, text: str) -> None:
    encoding = getattr(stream, "encoding", None) or "utf-8"
    stream.write(text.encode(encoding, "replace").decode(encoding) + "\n")


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


def _list() -> str:
    lines: list[str] = []
    subject = ""
    width = max(map(len, catalogue()))
    subjects = list(dict.fromkeys(calculation.subject for calculation in catalogue().values()))
    for calculation in sorted(catalogue().values(), key=lambda found: subjects.index(found.subject)):
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
    lines += [f"source   {calculation.source}", "", "worked example"]
    lines.append(f"  {calculation.name} " + " ".join(_quoted(pair) for pair in calculation.example))
    done = answer(calculation.name, _pairs(calculation.example))
    lines += [f"  {line}" for line in _results(done, system)]
    return "\n".join(lines)


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
    lines += [f"formula  {calculation.formula}", f"working  {done.working(system)}"]
    assumed = [f"{given.input.name} {given.shown(system)}" for given in done.inputs if given.typed is None]
    if assumed:
        lines.append(f"assumed  {', '.join(assumed)}")
    lines += [f"source   {calculation.source}", f"limits   {calculation.limits}", ""]
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
        "example": list(calculation.example),
    }


def _as_json(done: Answer, system: str) -> dict[str, Any]:
    return {
        "name": done.calculation.name,
        "inputs": {given.input.name: _given_json(given, system) for given in done.inputs},
        "results": {outcome.result.name: _outcome_json(outcome, system) for outcome in done.outcomes},
        "formula": done.calculation.formula,
        "working": done.working(system),
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
