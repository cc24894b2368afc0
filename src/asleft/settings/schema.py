"""Every setting in one list: file, command, first start and settings screen are drawn from it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from asleft.settings.errors import SettingError

LONGEST = 400
"""Characters of the longest value: an own instrument with its accuracy and date."""
LONGEST_NAME = 120
UNITS, IP, SI = "auto", "ip", "si"
ROLES = ("meter", "clamp", "manometer", "thermometer", "anemometer")
CODES = ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026", "IEC 60364", "other")
"""The editions that a visit takes; a test holds this list to the field's own."""
FOOT_M = 0.3048
LOWEST_FT, HIGHEST_FT = -1000.0, 36000.0

_ALTITUDE = re.compile(r"([-+−]?\d{1,6}(?:\.\d{1,3})?)\s*(ft|feet|foot|'|m|metres|meters|metre|meter)")
_KEY = re.compile(r"[a-z][a-z0-9_]{0,30}(?:\(-?\d{1,4}\))?")
_NOTHING: Mapping[str, str] = MappingProxyType({})


class Setting(NamedTuple):
    """One thing that is remembered. `choices` are value and meaning; `default` counts where none is said."""

    key: str
    label: str
    help: str
    kind: str
    choices: tuple[tuple[str, str], ...] = ()
    default: str = ""
    example: str = ""

    @property
    def role(self) -> str:
        """Of an instrument, what it is used as."""
        return self.key.partition(".")[2] if self.kind == "instrument" else ""


class Settings(NamedTuple):
    """What is remembered; an empty text is what a person has not said.

    `instruments` by role, each the id of a listed one or `NAME | ACCURACY, ACCURACY | YYYY-MM-DD`; `keys` by
    the action that a key is for.
    """

    technician: str = ""
    units: str = ""
    code: str = ""
    altitude: str = ""
    seal_key: str = ""
    theme: str = ""
    instruments: Mapping[str, str] = _NOTHING
    keys: Mapping[str, str] = _NOTHING

    def said(self, key: str) -> str:
        """What a person has said for a dotted key; empty where nothing."""
        table, dot, name = key.partition(".")
        if not dot:
            return str(getattr(self, key))
        inner: Mapping[str, str] = getattr(self, table)
        return inner.get(name, "")

    def get(self, key: str) -> str:
        """What counts for a dotted key: said, else the default."""
        return self.said(key) or next((s.default for s in SETTINGS if s.key == key), "")

    def having(self, key: str, text: str) -> Settings:
        """These settings with another text for a dotted key, already checked; an empty one forgets it."""
        table, dot, name = key.partition(".")
        changed: dict[str, Any] = {key: text}
        if dot:
            inner = {**getattr(self, table), name: text}
            changed = {table: MappingProxyType({k: v for k, v in inner.items() if v})}
        return self._replace(**changed)

    def every(self) -> Iterator[tuple[str, str]]:
        """Every dotted key for which something was said, in the order of the list, keys last."""
        for setting in SETTINGS:
            if said := self.said(setting.key):
                yield setting.key, said
        for action, key in self.keys.items():
            yield f"keys.{action}", key


_ASKED = "asked at every visit"
SETTINGS: tuple[Setting, ...] = (
    Setting(
        "technician",
        "Your name",
        "Stands under every entry and is offered as the technician of a new visit.",
        "text",
        example="Ada Cole",
    ),
    Setting(
        "units",
        "Units",
        "What numbers are shown in, and what a bare number means. F8 changes it within a visit.",
        "choice",
        (
            (UNITS, "as the unit's supply: SI at 50 Hz, else inch-pound"),
            (IP, "inch-pound: in. w.c., cfm, °F"),
            (SI, "SI: Pa, L/s, °C"),
        ),
        UNITS,
    ),
    Setting("instruments.meter", "Meter", "Your multimeter, for voltage and resistance.", "instrument"),
    Setting("instruments.clamp", "Current clamp", "Your clamp meter, for current.", "instrument"),
    Setting("instruments.manometer", "Manometer", "What you take static pressures with.", "instrument"),
    Setting("instruments.thermometer", "Thermometer", "What you take air temperatures with.", "instrument"),
    Setting("instruments.anemometer", "Anemometer", "For a traverse of the duct.", "instrument"),
    Setting(
        "code",
        "Code edition",
        "The edition in force where you mostly work. It is offered, never taken by itself.",
        "choice",
        (("", _ASKED), *((code, "") for code in CODES)),
    ),
    Setting(
        "altitude",
        "Usual altitude",
        "Height above sea level of the area you mostly work in, with its unit.",
        "altitude",
        example="1200 ft or 365 m",
    ),
    Setting(
        "seal_key",
        "Key for seals",
        "The OpenSSH key that you seal records with: a private key, or a public one that your agent holds.",
        "path",
        example="~/.ssh/id_ed25519",
    ),
    Setting(
        "theme",
        "Colours",
        "F9 changes them within a visit.",
        "choice",
        (
            ("dark", "light on dark"),
            ("light", "dark on light"),
            ("high-contrast", "black and white, bright signs"),
            ("without-colour", "black and white alone"),
        ),
        "dark",
    ),
)
"""In the order in which they are asked and shown."""

FIRST = tuple(s.key for s in SETTINGS if s.key not in ("theme", "seal_key"))
"""What the first start asks for."""


def setting_of(key: str) -> Setting:
    """The setting of a dotted key. Raises SettingError for a key that is none."""
    for setting in SETTINGS:
        if setting.key == key:
            return setting
    table, _, name = key.partition(".")
    if table == "keys" and _KEY.fullmatch(name):
        return Setting(key, f"Key for {name}", "The key for an action of the wizard.", "key")
    from asleft.equipment.errors import described, nearest

    if table == "keys":
        raise SettingError("keys", described(name), "the id of an action, such as keys.next")
    raise SettingError("", f"the key {described(key)}", nearest(key, [s.key for s in SETTINGS]))


def checked(setting: Setting, found: object) -> str:
    """A value as it is kept. Raises SettingError with what was found and what would be right."""
    if not isinstance(found, str):
        raise _wrong(setting, found)
    text = found.strip()
    if len(text) > LONGEST or not text.isprintable():
        raise _wrong(setting, found)
    if not text:
        return ""
    match setting.kind:
        case "choice":
            known = next((v for v, _ in setting.choices if v.casefold() == text.casefold()), None)
            if known is None:
                raise _wrong(setting, found)
            return known
        case "altitude":
            return _altitude(setting, text)
        case "text" if len(text) > LONGEST_NAME or not any(c.isalnum() for c in text):
            raise _wrong(setting, found)
        case "instrument" if not any(c.isalnum() for c in text.partition("|")[0]):
            raise _wrong(setting, found)
        case "key" if len(text) > 30 or " " in text:
            raise _wrong(setting, found)
    return text


def _altitude(setting: Setting, text: str) -> str:
    match = _ALTITUDE.fullmatch(text)
    if match is None:
        raise _wrong(setting, text)
    number, unit = match[1].replace("−", "-").removeprefix("+"), "m" if match[2][0] == "m" else "ft"
    feet = float(number) / (FOOT_M if unit == "m" else 1.0)
    if not LOWEST_FT <= feet <= HIGHEST_FT:
        raise _wrong(setting, text)
    return f"{number} {unit}"


def expected_of(setting: Setting) -> str:
    """What may stand for a setting, in a few words."""
    match setting.kind:
        case "choice":
            return "one of: " + ", ".join(value for value, _ in setting.choices if value)
        case "altitude":
            return f"{LOWEST_FT:g} ft to {HIGHEST_FT:g} ft with the unit, such as {setting.example}"
        case "instrument":
            return "the id of an instrument, or NAME | ACCURACY, ACCURACY | YYYY-MM-DD"
        case "key":
            return "the name of one key, such as f12"
        case "path":
            return f"the path of a file, such as {setting.example}"
        case _:
            return f"a name of at most {LONGEST_NAME} characters in printable letters"


def _wrong(setting: Setting, found: object) -> SettingError:
    from asleft.equipment.errors import described

    return SettingError(setting.key, described(found), expected_of(setting))
