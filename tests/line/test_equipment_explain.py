"""What is explained is what is loaded, and what is said of the checks is what they do."""

from __future__ import annotations

import copy
import io
import json
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
import tomli

from asleft.checks.catalogue import catalogue
from asleft.equipment.load import load_bytes
from asleft.equipment.model import Equipment
from asleft.help import page
from asleft.journal import read
from asleft.line.equipment import explain
from asleft.line.equipment_parts import PAGE, ROLE, alternatives, rests, sections
from asleft.session.events import read_all
from asleft.session.state import State, fold_all
from asleft.visit import look
from support import ROOT


def _run(part: str | None = None, as_json: bool = False) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    return explain(part, as_json, out=out, err=err), out.getvalue(), err.getvalue()


FIELDS = {entry.name: entry for section in sections().values() for entry in section.fields}


def test_the_examples_of_all_parts_make_one_valid_file() -> None:
    """Whoever copies them loads a unit that uses every field there is."""
    text = "\n".join(re.findall(r"```toml\n(.*?)```", page(PAGE), re.S))
    unit = load_bytes(text.encode(), PAGE).equipment
    assert unit.model_fields_set == set(Equipment.model_fields)


def test_every_part_has_prose_and_an_example_and_the_page_has_no_other() -> None:
    """A new part of the models cannot be forgotten, nor an old one left behind."""
    headings = re.findall(r"^## (\S+)$", page(PAGE), re.M)
    assert headings == list(sections())
    assert [s.name for s in sections().values() if not (s.prose and s.example)] == []


def test_every_field_has_an_example_line_out_of_the_example_of_its_part() -> None:
    """A line as it could stand in a file; for a table inside, its heading."""
    for section in sections().values():
        for entry in section.fields:
            assert entry.example, entry.name
            assert entry.example in section.example or entry.example.strip("[]") == entry.name


def test_what_is_said_of_checks_names_checks_and_fields_that_exist() -> None:
    """A renamed field or check shows here."""
    known = {*FIELDS, *sections()}
    roles = set(Equipment.model_json_schema()["$defs"]["Topic"]["properties"]["role"]["enum"])
    assert set(rests()) <= {rule.id for rule in catalogue()}
    for id, told in rests().items():
        for name in (*(a for need in told["needs"] for a in alternatives(need)), *told["reads"]):
            assert name in known or name.removeprefix(ROLE) in roles, (id, name)


def test_every_check_of_a_figure_of_the_maker_says_which() -> None:
    """A new check with that source is entered in equipment-checks.toml too."""
    assert [r.id for r in catalogue() if r.source == "equipment file" and r.id not in rests()] == []


UNJUDGED = {"HS-4", "HS-8", "BL-16"}
"""Checks that no sample visit comes to: nobody chose heat on lost communication, no zone dampers there."""


@cache
def _visits() -> tuple[tuple[dict[str, Any], State], ...]:
    found = []
    for path in sorted((ROOT / "sessions").glob("*.toml"))[:2]:
        contents = read(path)
        events = read_all(contents.events)
        raw = tomli.loads(contents.equipment_text)
        found += [(raw, fold_all(events[:n])) for n in (len(events) * 3 // 4, len(events) - 1)]
    return tuple(found)


def _verdicts(raw: dict[str, Any], state: State) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for finding in look(Equipment.model_validate(raw), state, "ip").findings:
        found.setdefault(finding.id, set()).add(finding.verdict)
    return found


def _holders(raw: Any, path: list[str]) -> Iterator[dict[str, Any]]:
    if isinstance(raw, list):
        for each in raw:
            yield from _holders(each, path)
    elif isinstance(raw, dict) and path[0] in raw:
        if len(path) == 1:
            yield raw
        else:
            yield from _holders(raw[path[0]], path[1:])


def _optional() -> list[tuple[str, str]]:
    """Each check with a need that a file may leave out."""
    parts = sections()
    return [
        (id, need)
        for id, told in rests().items()
        for need in told["needs"]
        if id not in UNJUDGED
        if need.startswith(ROLE)
        or all(not (FIELDS[a] if a in FIELDS else parts[a]).compulsory for a in alternatives(need))
    ]


@pytest.mark.parametrize(("id", "need"), _optional())
def test_a_check_is_silent_without_what_it_needs(id: str, need: str) -> None:
    """In the sample visits, with the figure taken out of the unit: not applicable, or nothing to go by."""
    judged = 0
    for raw, state in _visits():
        before = _verdicts(raw, state)[id] & {"pass", "fail", "conditional pass", "conditional fail"}
        if not before:
            continue
        judged += 1
        without = copy.deepcopy(raw)
        if need.startswith(ROLE):
            without["topic"] = [t for t in raw["topic"] if t["role"] != need.removeprefix(ROLE)]
        for name in () if need.startswith(ROLE) else alternatives(need):
            for holder in list(_holders(without, name.split("."))):
                del holder[name.rpartition(".")[2]]
        after = _verdicts(without, state).get(id, {"not applicable"})
        assert after <= {"not applicable", "not measured"}
    assert judged


def test_without_a_part_every_part_is_listed() -> None:
    """One line each, under what an equipment file is."""
    code, text, _ = _run()
    assert code == 0
    listed = [line.split()[0] for line in text.partition("\npart ")[2].splitlines()[1:] if line]
    assert listed[: len(sections())] == list(sections())


@pytest.mark.parametrize("name", list(sections()))
def test_a_part_shows_every_field_with_meaning_example_and_checks(name: str) -> None:
    """All on plain lines that fit; JSON says the same."""
    code, text, _ = _run(name)
    assert code == 0
    flat = " ".join(text.split())
    for entry in sections()[name].fields:
        assert entry.example in text
        assert entry.description[1:] in flat
        assert all(check in text for check in (*entry.needed_by, *entry.used_by))
    assert text.replace("\n", "").isprintable()
    told = json.loads(_run(name, True)[1])
    assert [f["field"] for f in told["fields"]] == [entry.name for entry in sections()[name].fields]


def test_a_part_or_field_is_found_by_its_last_word_where_that_is_plain() -> None:
    """Written as in the file, too."""
    assert _run("tier")[1] == _run("blower.tier")[1] == _run("[[blower.tier]]")[1]
    assert _run("full_load_current")[1] == _run("blower.full_load_current")[1]
    assert json.loads(_run("rows", True)[1])["field"] == "blower.tier.speed.rows"


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        ("heatr", "expected heater"),
        ("full_load", "expected full_load_current"),
        ("power", "heater.stage.power"),
        ("nonsense", "unit, supply"),
        ("\x1b[31m", "\\x1b[31m"),
        ("", "unit, supply"),
    ],
)
def test_a_name_that_is_none_is_refused_with_the_nearest(wanted: str, said: str) -> None:
    """Exit 2, one line, printable."""
    code, out, err = _run(wanted)
    assert (code, out) == (2, "")
    assert said in err
    assert err.strip().isprintable()


def test_all_parts_as_json() -> None:
    """For whoever writes another editor."""
    told = json.loads(_run(None, True)[1])["parts"]
    assert [part["part"] for part in told] == list(sections())
    (power,) = [f for part in told for f in part["fields"] if f["field"] == "heater.power"]
    assert (power["kind"], power["compulsory"], power["example"]) == (
        "electric_power",
        True,
        'power = "5 kW"',
    )
