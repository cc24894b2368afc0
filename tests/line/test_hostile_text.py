"""Commands over an equipment file and a session whose free strings try to act: text, and strict JSON."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
import tomli_w

from asleft.cli import main
from asleft.drill.technician import Stuck, headless
from asleft.equipment.library import shipped
from asleft.equipment.model import EquipmentFile
from asleft.journal import classify, event_bytes, header_bytes
from asleft.line.text import dumped
from asleft.unattended import begin
from hostile import ACTING, LONG, VISIBLE, hostile_unit

UNIT = "marrowby-linnet-30"
HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, EquipmentFile]:
    """An equipment file, a session half way through a visit to that unit, and the unit."""
    folder = tmp_path_factory.mktemp("hostile")
    unit, _ = hostile_unit((shipped() / f"{UNIT}.toml").read_text("utf-8"))
    file = folder / "[bold]unit ❤\ufe0f.toml"
    file.write_text(unit.text, "utf-8")
    named = [{"id": f"meter-{n}", "name": text, "role": "meter"} for n, text in enumerate(VISIBLE.values())]
    (folder / "instruments.toml").write_text(tomli_w.dumps({"format": 1, "instrument": named}), "utf-8")
    job = begin(folder / "[/] visits", unit, 2)
    with suppress(Stuck):
        headless(job.visit, job.rig, most_acts=90)
    for text in VISIBLE.values():
        job.visit.enter("note", text)
    job.close()
    return file, job.visit.path, unit


@pytest.fixture(autouse=True)
def own(places: tuple[Path, Path, EquipmentFile], monkeypatch: pytest.MonkeyPatch) -> None:
    """A person's own folder that holds the file, and instruments of hostile names."""
    monkeypatch.setattr("asleft.line.places.equipment_folder", lambda: places[0].parent)


COMMANDS = [
    "next S",
    "check S",
    "plan S",
    "fields S",
    "fields --equipment E",
    "equipment show E",
    "equipment check E",
    "equipment list",
]


def run(command: str, places: tuple[Path, Path, EquipmentFile], *more: str) -> int:
    """A command with the files put in."""
    names = {"E": str(places[0]), "S": str(places[1])}
    return main([names.get(word, word) for word in command.split()] + list(more))


def acting(text: str) -> list[str]:
    """Characters that a terminal obeys or nobody sees."""
    return [c for c in text if c != "\n" and unicodedata.category(c) in HIDDEN]


def strings(value: object) -> Iterator[str]:
    """Every string of what was read as JSON."""
    if isinstance(value, dict):
        value = [*value, *value.values()]
    if isinstance(value, list):
        for item in value:
            yield from strings(item)
    elif isinstance(value, str):
        yield value


def strict(text: str) -> object:
    """Read as JSON that has no NaN and no key twice."""

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        assert len(dict(pairs)) == len(pairs)
        return dict(pairs)

    def never(name: str) -> object:
        raise AssertionError(name)

    return json.loads(text, parse_constant=never, object_pairs_hook=once)


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_printed_acts_on_a_terminal(
    command: str, places: tuple[Path, Path, EquipmentFile], capsys: pytest.CaptureFixture[str]
) -> None:
    """As text and as JSON; the words themselves are there."""
    assert run(command, places) in (0, 1)
    said = capsys.readouterr()
    assert said.err == ""
    assert not acting(said.out)
    assert run(command, places, "--json") in (0, 1)
    out = capsys.readouterr().out
    assert not acting(out)
    strict(out)


def test_an_instrument_is_entered_by_its_id_and_its_name_is_told_harmlessly(
    places: tuple[Path, Path, EquipmentFile], capsys: pytest.CaptureFixture[str]
) -> None:
    """As one that was used, and in what is said of one that is not there."""
    for n in range(len(VISIBLE)):
        assert run(f"enter S identity.instrument.meter=meter-{n}", places) == 0
        assert run("check S", places) in (0, 1)
        assert not acting(capsys.readouterr().out)


def test_json_gives_the_strings_of_the_file_back(
    places: tuple[Path, Path, EquipmentFile], capsys: pytest.CaptureFixture[str]
) -> None:
    """Unit and labels, letter by letter."""
    run("equipment show E", places, "--json")
    found = set(strings(strict(capsys.readouterr().out)))
    unit = places[2].equipment
    assert {unit.unit.maker, unit.unit.model, *(s.label for s in unit.setting)} <= found


@pytest.mark.parametrize("name", ACTING)
def test_json_writes_what_would_act_as_an_escape(name: str) -> None:
    """Even what no file of ours may hold."""
    text = ACTING[name]
    assert not acting(dumped({"x": text}))
    assert strict(dumped({"x": text})) == {"x": text}


@pytest.mark.parametrize("text", [*ACTING.values(), *VISIBLE.values(), LONG], ids=ascii)
def test_any_words_of_a_command_are_refused_or_done_in_harmless_words(
    text: str, places: tuple[Path, Path, EquipmentFile], capsys: pytest.CaptureFixture[str]
) -> None:
    """As a file, a field, a value, a unit, a check and a calculation."""
    session = str(places[1])
    for words in (
        ["next", text],
        ["check", session, "--units", text],
        ["check", "--explain", text],
        ["enter", session, f"{text}=1"],
        ["enter", session, f"identity.altitude={text}"],
        ["equipment", "show", text],
        ["equipment", "explain", text],
        ["work", text],
        ["work", "heater-current", f"power={text}", "voltage=240 V"],
        ["fields", "--equipment", text],
    ):
        if "\0" not in text:
            assert main(words) in (0, 1, 2, 3), words
        said = capsys.readouterr()
        assert not acting(said.out), words
        assert not acting(said.err), words
        assert "Traceback" not in said.err
        assert "unforeseen" not in said.err, words


def test_a_session_that_somebody_else_wrote_is_told_in_harmless_words(
    places: tuple[Path, Path, EquipmentFile], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whole by its chain, its notes full of what acts: read or refused, never obeyed."""
    header = header_bytes(
        id="x", mode="job", app="x", rules="x", opened_by="x", follows=None, equipment_text=places[2].text
    )
    data = header
    at = "2031-05-04T09:00:00Z"
    for n, text in enumerate([*ACTING.values(), LONG], 1):
        event = {"n": n, "at": at, "by": text, "kind": "noted", "text": text}
        data += event_bytes(classify(data).link, event)[0]
    path = tmp_path / "2031-05-04-x-y.toml"
    path.write_bytes(data)
    for command in ("check", "next", "plan"):
        for more in ([], ["--json"]):
            assert main([command, str(path), *more]) in (0, 1, 2, 3)
            said = capsys.readouterr()
            assert not acting(said.out + said.err)
            assert "unforeseen" not in said.err
