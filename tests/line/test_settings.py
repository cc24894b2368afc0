"""`asleft settings`: printed and set, with the errors of the file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from asleft import cli
from asleft.settings import SETTINGS, load, settings_file, update


def test_what_is_remembered_is_printed_as_text_and_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Every key, said or not, and where the file is; asking does not write it."""
    assert cli.main(["settings"]) == 0
    text = capsys.readouterr().out
    assert f"{settings_file()} (not written yet)" in text
    assert all(any(line.startswith(f"{s.key} ") for line in text.splitlines()) for s in SETTINGS)
    assert not settings_file().exists()
    update({"technician": "Ada", "keys.next": "f12"})
    assert cli.main(["settings", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["file"] == str(settings_file())
    assert found["trouble"] == []
    assert found["settings"] == {
        "technician": "Ada",
        "units": "auto",
        "instruments.meter": None,
        "instruments.clamp": None,
        "instruments.manometer": None,
        "instruments.thermometer": None,
        "instruments.anemometer": None,
        "code": None,
        "altitude": None,
        "seal_key": None,
        "theme": "dark",
        "keys.next": "f12",
    }


def test_several_are_set_at_once_and_an_empty_one_is_forgotten(capsys: pytest.CaptureFixture[str]) -> None:
    """And what they now are is printed."""
    words = [
        "technician=Ada = Cole",
        "units=SI",
        "altitude=1200ft",
        "instruments.meter=meter-corwen",
        "keys.undo=f6",
    ]
    assert cli.main(["settings", *words]) == 0
    assert "altitude                  1200 ft" in capsys.readouterr().out
    assert cli.main(["settings", "units=", "keys.undo="]) == 0
    assert dict(load().settings.every()) == {
        "technician": "Ada = Cole",
        "instruments.meter": "meter-corwen",
        "altitude": "1200 ft",
    }


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("units", "found 'units', expected KEY=VALUE"),
        ("unit=si", 'found the key "unit", expected units'),
        ("units=metric", 'units: found "metric", expected one of: auto, ip, si'),
        ("altitude=1,5 m", 'altitude: found "1,5 m", expected'),
        ("instruments.meter=clamp-corwen", "(listed: meter-corwen, meter-unmarked)"),
        ("instruments.meter=X | volts 1 %", "a kind first"),
        ("keys.=x", 'keys: found "", expected the id of an action'),
        ("technician=\x1b[2J", "technician: found"),
        ("=", 'found the key "", expected'),
    ],
)
def test_a_wrong_one_is_refused_in_one_line_and_nothing_is_set(
    word: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2, what was found and what would be right, nothing on standard output."""
    assert cli.main(["settings", "technician=Ada", word]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert err.count("\n") == 1
    assert err[:-1].isprintable()
    assert not settings_file().exists()


def test_a_broken_file_is_told_with_exit_code_1_and_kept_aside_once_set(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """What is right in it is printed all the same."""
    settings_file().parent.mkdir()
    settings_file().write_text('technician = "Ada"\ntheme = 3\n')
    assert cli.main(["settings"]) == 1
    out, err = capsys.readouterr()
    assert "technician                Ada" in out
    assert f"{settings_file()}:2: theme: found 3, expected one of: dark, light, high-contrast" in err
    assert cli.main(["settings", "--json"]) == 1
    assert len(json.loads(capsys.readouterr().out)["trouble"]) == 1
    assert cli.main(["settings", "units=si"]) == 0
    assert "settings.toml.old-1" in capsys.readouterr().err
    assert dict(load().settings.every()) == {"technician": "Ada", "units": "si"}


def test_where_it_cannot_be_written_the_exit_code_is_3(
    read_only: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With one sentence."""
    assert cli.main(["settings", "units=si"]) == 3
    assert "could not be saved" in capsys.readouterr().err
