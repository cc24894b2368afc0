"""What a settings file says, and exactly what is wrong with it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from asleft.session.fields import templates
from asleft.settings import SETTINGS, SettingError, Settings, checked, setting_of
from asleft.settings.reading import LARGEST, read
from asleft.settings.schema import CODES, FIRST, HIGHEST_FT, LOWEST_FT, ROLES

WHOLE = """# mine
technician = "Ada Cole"
units = "si"
code = "NEC 2023"
altitude = "1200 ft"
theme = "light"

[instruments]
meter = "meter-corwen"
clamp = "My clamp | current 1 % | 2031-01-01"

[keys]
next = "f12"
"row(-1)" = "k"
"""


def test_a_whole_file_says_all_of_it() -> None:
    """Every setting, by its dotted key."""
    settings, errors = read(WHOLE.encode(), "s.toml")
    assert errors == ()
    assert dict(settings.every()) == {
        "technician": "Ada Cole",
        "units": "si",
        "code": "NEC 2023",
        "altitude": "1200 ft",
        "theme": "light",
        "instruments.meter": "meter-corwen",
        "instruments.clamp": "My clamp | current 1 % | 2031-01-01",
        "keys.next": "f12",
        "keys.row(-1)": "k",
    }


def test_an_empty_file_says_nothing_and_defaults_count() -> None:
    """Units as the unit's supply, dark colours, the rest is asked."""
    settings, errors = read(b"", "s.toml")
    assert (settings, errors) == (Settings(), ())
    assert (settings.get("units"), settings.get("theme"), settings.get("code")) == ("auto", "dark", "")


@pytest.mark.parametrize(
    ("text", "line", "field", "found", "expected"),
    [
        ('units = "metric"', 1, "units", '"metric"', "one of: auto, ip, si"),
        ("\n\ntheme = 3", 3, "theme", "3", "one of: dark, light, high-contrast"),
        ('code = "NEC 1999"', 1, "code", '"NEC 1999"', "one of: NEC 2017"),
        ('altitude = "1200"', 1, "altitude", '"1200"', "with the unit"),
        ('altitude = "1,5 m"', 1, "altitude", '"1,5 m"', "with the unit"),
        ('altitude = "90000 ft"', 1, "altitude", '"90000 ft"', "36000 ft"),
        ("technician = true", 1, "technician", "true", "a name"),
        ('technician = "\\u001b[2J"', 1, "technician", '"\\x1b[2J"', "a name"),
        ('technician = "..."', 1, "technician", '"..."', "a name"),
        ('unitz = "si"', 1, "", 'the key "unitz"', "units"),
        ('[instruments]\nmetre = "x"', 2, "", 'the key "instruments.metre"', "instruments.meter"),
        ('[instruments]\nmeter = ["x"]', 2, "instruments.meter", "a list of 1", "the id of an instrument"),
        ("instruments = 3", 1, "instruments", "3", "a table [instruments]"),
        ('[keys]\nnext = "f 2"', 2, "keys.next", '"f 2"', "the name of one key"),
        ('[keys]\n"" = "x"', 2, "keys", '""', "the id of an action"),
        ('# fine\nunits = "si\n', 2, "", "a line that is not TOML", "lines such as"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(
    text: str, line: int, field: str, found: str, expected: str
) -> None:
    """File, line, field, what was found and what would be right; one line, harmless."""
    _, errors = read(text.encode(), "s.toml")
    (error,) = errors
    assert (error.file, error.line, error.field) == ("s.toml", line, field)
    assert error.found.startswith(found)
    assert expected in error.expected
    assert str(error).startswith(f"s.toml:{line}: ")
    assert str(error).isprintable()


@pytest.mark.parametrize(
    "data",
    [
        b"\xff",
        b"\xef\xbb\xbfunits = 'si'",
        b"a" * (LARGEST + 1),
        b"x = " + b"[" * 5000,
        b"x = 1" + b"0" * 10000,
        b"\x00",
    ],
)
def test_hostile_bytes_give_one_error_and_defaults(data: bytes) -> None:
    """No byte ends the program."""
    settings, errors = read(data, "s.toml")
    assert settings == Settings()
    assert len(errors) == 1
    assert len(str(errors[0])) < 400


def test_one_wrong_value_leaves_the_others_in_force() -> None:
    """And every wrong one is told, in the order of the file."""
    settings, errors = read(b'theme = "pink"\ntechnician = "Ada"\nunits = 1\n', "s.toml")
    assert settings == Settings(technician="Ada")
    assert [(e.line, e.field) for e in errors] == [(1, "theme"), (3, "units")]


def test_the_lists_are_those_of_the_visit() -> None:
    """Code editions, instruments and the range of the altitude are the fields' own."""
    fields = {f.id: f for f in templates()}
    assert fields["identity.code"].choices == CODES
    assert {f"identity.instrument.{r}" for r in ROLES} == {i for i in fields if ".instrument." in i}
    assert fields["identity.altitude"].range == (f"{LOWEST_FT:g} ft", f"{HIGHEST_FT:g} ft")
    assert {s.role for s in SETTINGS if s.kind == "instrument"} == set(ROLES)
    assert set(FIRST) < {s.key for s in SETTINGS}


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("1200 ft", "1200 ft"),
        ("365m", "365 m"),
        ("−20 m", "-20 m"),
        ("+12.5 metres", "12.5 m"),
        ("900'", "900 ft"),
    ],
)
def test_an_altitude_is_kept_in_one_spelling(typed: str, kept: str) -> None:
    """The number as typed, the unit short."""
    assert checked(setting_of("altitude"), typed) == kept


def test_a_choice_is_kept_in_its_own_letters() -> None:
    """However it was typed."""
    assert checked(setting_of("code"), "nec 2023") == "NEC 2023"
    with pytest.raises(SettingError, match="code: found"):
        checked(setting_of("code"), "2023")


def test_reading_settings_loads_neither_screen_nor_models_nor_units(tmp_path: Path) -> None:
    """The home screen waits for none of them."""
    (tmp_path / "settings.toml").write_text(WHOLE)
    code = (
        "import sys\nfrom asleft.settings import load\nassert not load().errors\n"
        "heavy = {'textual', 'pydantic', 'pint', 'asleft.quantity', 'asleft.equipment'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    env = {"ASLEFT_HOME": str(tmp_path), "PYTHONPATH": ":".join(filter(None, sys.path))}
    assert subprocess.check_output([sys.executable, "-c", code], text=True, env=env).strip() == "[]"


def test_every_setting_says_what_it_is() -> None:
    """A label, a sentence, and a default that is one of its choices."""
    for setting in SETTINGS:
        assert setting.label
        assert re.fullmatch(r"[A-Z].*\.", setting.help)
        if setting.default:
            assert setting.default in dict(setting.choices)
