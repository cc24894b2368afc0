"""Whatever a shell can pass to `asleft work`: an answer, or one line that refuses it.

3000 command lines run with the suite; ASLEFT_FUZZ=20000 sets another number.
"""

from __future__ import annotations

import contextlib
import functools
import io
import json
import math
import os
import random
import subprocess
import sys
import unicodedata

import pytest

from asleft import cli
from asleft.calc.catalogue import catalogue
from asleft.calc.typed import LOOSE
from asleft.line import arguments

COUNT = int(os.environ.get("ASLEFT_FUZZ", "3000"))
CHUNKS = 4
LONGEST = 230


def parted(text: str) -> list[str]:
    """Words at blanks."""
    return text.split()


NUMBERS = parted(
    """0 -0 1 -1 0.5 1e3 1e300 -1e300 1e308 1e309 1e-300 1e-320 5e-324 1e999 1e9999 nan NaN inf -inf Infinity
    1_000 0x10 1e 1e+ .5 5. . - + +5 --5 1.2.3 1/0 1/2 ½ 1½ 9² ² ٣ ９.６ १२ 四 1’000 1,5 1.000,5 1:30 ∞ −5 –5
    1e−3 007 99999999999999999999999999999999999999999999 3.0000000000000000000000000000000000001"""
)
UNITS = parted(
    """V mV kV A mA ohm W kW hp Btu/h kBtu/h MBtu/h ton Pa kPa in inwc " iwc psi cfm L/s m3/s scfm F C K degF
    degC delta_degF delta_degC °F °C m ft in mm km ft2 m2 s min h kg/m3 fpm W/K kW/K Btu/h/F J/K kJ/K MJ/K VA
    kVA % AWG mm2 kcmil furlong parsec if lambda not or is V/V V*A W/W/W m/m2 e π Ω µV k M DROP; nan"""
)
GARBAGE = [
    "zork",
    "",
    " ",
    "V",
    "kW",
    "None",
    "null",
    "true",
    "[]",
    "{}",
    "()",
    "*",
    "?",
    "!",
    "'",
    '"',
    "\\",
    "…",
]
CONTROLS = [
    "\x00",
    "\x07",
    "\x1b[31m",
    "\x1b]0;x\x07",
    "\n",
    "\r",
    "\t",
    "\x7f",
    "\x85",
    "\u2028",
    "\u202e",
    "\ufeff",
]
STRANGE = [
    "\udcff",
    "\udc80\udc81",
    "\ud800",
    "\U0010ffff",
    "\u0301" * 5,
    "👩‍🔧",
    "ﬀ",
    "\u200b",
    "K",
    "Å",
    "\xa0",
    "\u3000",
]
OPTIONS = [
    "--",
    "-",
    "-x",
    "--zork",
    "--zork=1",
    "-1",
    "-1 V",
    "--json=1",
    "--units",
    "--units=xx",
    "--units=si",
]
OPTIONS += [
    "--tables",
    "--json",
    "---",
    "-=",
    "--=",
    "-\udcff",
    "--\n",
    "--json\x00",
    "-é",
    "--units=\x1b[1m",
]
WORDS = [
    "copper",
    "silver",
    "COPPER",
    "very-light",
    "very  heavy",
    "6 AWG",
    "6",
    "1/0",
    "7 AWG",
    "6 mm²",
    "#6",
    "2/0/0",
]


def number(rng: random.Random) -> str:
    """A number, more or less."""
    if rng.random() < 0.5:
        return rng.choice(NUMBERS)
    return f"{rng.choice([-1, 1, 1, 1]) * 10 ** rng.uniform(-6, 9):.{rng.randint(1, 9)}g}"


def value(rng: random.Random) -> str:
    """Something for the right of an equals sign."""
    made = rng.choice(
        [
            lambda: number(rng) + rng.choice(["", " ", "  "]) + rng.choice(UNITS),
            lambda: number(rng),
            lambda: rng.choice(GARBAGE + CONTROLS + STRANGE + WORDS),
            lambda: ",".join(number(rng) + rng.choice(UNITS) for _ in range(rng.randint(0, 5))),
            lambda: ";".join(number(rng) for _ in range(rng.randint(0, 4))) + rng.choice(UNITS),
            lambda: f"{number(rng)} {rng.choice(UNITS)} ± {number(rng)}{rng.choice(['', '%', ' V', ' K'])}",
            lambda: "".join(
                chr(rng.choice([rng.randrange(32, 127), rng.randrange(0x2500)])) for _ in range(9)
            ),
            lambda: (
                rng.choice(["9", "x", ",", ";", "±", "1 V,", "\u0661"]) * rng.choice([50, 399, 401, 5000])
            ),
        ]
    )
    return made()


def bent(text: str, rng: random.Random) -> str:
    """A text with something put in, taken out or said otherwise."""
    at = rng.randint(0, len(text))
    what = rng.randrange(6)
    if what == 0:
        return text[:at] + rng.choice(CONTROLS + STRANGE + list("=,;±%+-. e0")) + text[at:]
    if what == 1:
        return text[:at] + text[at + 1 :]
    if what == 2:
        return text.upper() if rng.random() < 0.5 else text.replace("_", "-")
    if what == 3:
        return "".join(chr(ord(c) + 0xFEE0) if "!" <= c <= "~" and rng.random() < 0.4 else c for c in text)
    if what == 4:
        return "".join(chr(0x660 + int(c)) if c.isascii() and c.isdigit() else c for c in text)
    return text[:at] + text[at:] * 2


def line(rng: random.Random) -> tuple[list[str], str | None]:
    """A command line, and the one input that cannot be read, where there is just one."""
    name = rng.choice(list(catalogue()))
    pairs = [list(pair.partition("=")[::2]) for pair in catalogue()[name].example]
    for entry in catalogue()[name].inputs:
        absent = entry.name not in [key for key, _ in pairs]
        if absent and entry.default is not None and rng.random() < 0.2:
            pairs.append([entry.name, entry.default])
    garbled = None
    wrong = rng.choice([0, 1, 1, 1, 2, 3])
    words = None
    for _ in range(wrong):
        pair = rng.choice(pairs)
        match rng.randrange(9):
            case 0:
                name = rng.choice([bent(name, rng), rng.choice(GARBAGE + STRANGE + CONTROLS), name.upper()])
            case 1:
                pair[0] = rng.choice([bent(pair[0], rng), rng.choice(GARBAGE), rng.choice(pairs)[0]])
            case 2 | 3 | 4:
                pair[1] = value(rng)
            case 5:
                pair[1] = bent(pair[1], rng)
            case 6 if len(pairs) > 1:
                pairs.remove(pair)
            case 7:
                pairs.append(list(pair))
            case _:
                if wrong == 1:
                    garbled, pair[1] = pair[0], rng.choice(["zork", "", "\x1b[2J", "\udcff", "…"])
                else:
                    words = [rng.choice(OPTIONS)]
    argv = [f"{key}={text}" for key, text in pairs]
    if words:
        argv.insert(rng.randint(0, len(argv)), words[0])
    if rng.random() < 0.05:
        argv.insert(rng.randint(0, len(argv)), rng.choice(GARBAGE + STRANGE + CONTROLS))
        garbled = None
    if rng.random() < 0.5:
        argv.insert(rng.randint(0, len(argv)), "--json")
    entry = {entry.name: entry for entry in catalogue()[name].inputs} if name in catalogue() else {}
    if garbled and entry[garbled].kind in LOOSE:
        garbled = None
    return ["work", name, *argv], garbled


def harmless(text: str) -> str:
    """How a refusal may write what was typed."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def finite(value: object) -> bool:
    """Whether every number within is finite."""
    if isinstance(value, dict):
        return all(map(finite, value.values()))
    if isinstance(value, list):
        return all(map(finite, value))
    return not isinstance(value, float) or math.isfinite(value)


def judge(argv: list[str], garbled: str | None, code: int, out: str, err: str) -> None:
    """Hold one run to what was promised."""
    assert code in (0, 2), (argv, code, err)
    assert not [c for c in out + err if c != "\n" and unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")], (
        argv
    )
    if code == 0:
        assert err == "", argv
        assert garbled is None, (argv, out)
        before = argv[: argv.index("--")] if "--" in argv else argv
        if "--json" in before:
            assert finite(json.loads(out, parse_constant=lambda word: pytest.fail(f"{argv}: {word}"))), argv
        else:
            assert out.strip(), argv
        return
    assert out == "", argv
    assert err.endswith("\n"), argv
    assert err.count("\n") == 1, (argv, err)
    assert len(err) <= LONGEST, (argv, err)
    assert "Traceback" not in err, argv
    if garbled:
        assert err.startswith(f"work: {garbled}: "), (argv, err)
    if err.startswith("work: "):
        known = [catalogue()[argv[1]]] if argv[1] in catalogue() else []
        names = {entry.name for found in known for entry in found.inputs}
        names |= {part for word in argv[1:] for part in (word, word.partition("=")[0])}
        named = (*(harmless(name)[:150] for name in names if name), "''")
        assert err.removeprefix("work: ").startswith(named), (argv, err)
    else:
        assert err.startswith("asleft: "), (argv, err)
        options = [word for word in argv if word.startswith("-")]
        assert any(ascii(word)[1:-1].split("=")[0][:150] in err for word in options), (argv, err)


def run(argv: list[str]) -> tuple[int, str, str]:
    """The console script's own function, its streams caught as bytes."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = cli.main(argv)
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8"))  # type: ignore[attr-defined]
    return code, texts[0], texts[1]


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_any_command_line_is_answered_or_refused(chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """0 with finite strict JSON or with text, or 2 with one line that names the input and nothing else."""
    monkeypatch.setattr(arguments, "parser", functools.cache(arguments.parser))
    rng = random.Random(f"work {chunk}")
    codes = {0: 0, 2: 0}
    for _ in range(COUNT // CHUNKS):
        argv, garbled = line(rng)
        code, out, err = run(argv)
        judge(argv, garbled, code, out, err)
        codes[code] += 1
    assert min(codes.values()) > COUNT // CHUNKS // 10, codes


def test_raw_bytes_through_a_real_process() -> None:
    """Fifty command lines of bytes, as a shell passes them; NUL alone cannot be passed."""
    rng = random.Random("bytes")
    environment = {**os.environ, "PYTHONWARNINGS": "error", "PYTHONIOENCODING": "utf-8"}
    for _ in range(50):
        argv, garbled = line(rng)
        raw = [os.fsencode(word.replace("\x00", "").replace("\ud800", "\udc80")) for word in argv]
        if rng.random() < 0.5:
            at = rng.randrange(1, len(raw))
            raw[at] += bytes(rng.randrange(1, 256) for _ in range(4))
            garbled = None
        command = [os.fsencode(sys.executable), b"-m", b"asleft", *raw]
        done = subprocess.run(command, capture_output=True, env=environment, check=False)
        passed = [os.fsdecode(word) for word in raw]
        judge(passed, garbled, done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))
