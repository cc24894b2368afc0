"""Worked examples that others print, typed into a visit: the finding shows their figure and the verdict.

Each source is cited with its address in the file of this folder that its name is given with.
"""

from __future__ import annotations

from typing import Any

import pytest

from published.example import Example, row
from published.typed import blower, kit, supply, unit

# ---- supply

ON_240 = supply("240 V", "200 V", "260 V")
ON_208 = supply("208 V", "187 V", "229 V")
THREE_480 = supply("480 V", "400 V", "520 V", phases=3)


def lines(*volts: str) -> dict[str, str]:
    """Three line voltages of a wye, heat off."""
    pairs = ("l1_l2", "l2_l3", "l3_l1")
    typed = {f"electrical.line.{pair}": f"{v} V" for pair, v in zip(pairs, volts, strict=True)}
    return {"identity.system": "wye"} | typed


COMAR = "COMAR 20.50.07.02, voltage limits (test_comar_voltage)"
C84_1 = "ANSI C84.1, 108 to 126 V at the terminals on a 120 V base, from memory"
SUPPLIES = [
    row(
        "published",
        "240 V, top of range A",
        COMAR,
        unit(ON_240, blower()),
        {"electrical.line.l1_l2": "251.9 V"},
        "EL-3 unit",
        "pass",
        {"252": "252.0 V"},
        {"electrical.line.l1_l2": "252.1 V"},
        "fail",
    ),
    row(
        "published",
        "480 V, top of range A",
        COMAR,
        unit(THREE_480, blower()),
        lines("503.9", "503.9", "503.9"),
        "EL-3 unit",
        "pass",
        {"504": "504.0 V"},
        lines("503.9", "503.9", "504.1"),
        "fail",
    ),
    row(
        "own_arithmetic",
        "240 V, foot of range A: 240 x 108 / 120",
        C84_1,
        unit(ON_240, blower()),
        {"electrical.line.l1_l2": "216.1 V"},
        "EL-3 unit",
        "pass",
        {"216": "216.0 V"},
        {"electrical.line.l1_l2": "215.9 V"},
        "fail",
    ),
]

# ---- unbalance of three lines, at a motor of three phases

MOTOR = unit(THREE_480, blower(phases=3))
UNBALANCES = [
    row(
        "published",
        "462, 463 and 455 V",
        "eng-tips.com, thread 481112 (test_eng_tips_unbalance)",
        MOTOR,
        lines("462", "463", "455"),
        "EL-5 unit",
        "fail",
        {"460": "460.0 V", "1.09": "1.09 %"},
        lines("462", "463", "458"),
        "pass",
    ),
    row(
        "published",
        "460, 467 and 450 V",
        "tools.gera.services (test_gera_unbalance), which derates to near 0.95",
        MOTOR,
        lines("460", "467", "450"),
        "EL-5 unit",
        "fail",
        {"459": "459.0 V", "1.96": "1.96 %", "95": "95%"},
        lines("460", "462", "458"),
        "pass",
    ),
    row(
        "published",
        "480, 476 and 472 V",
        "industrialmonitordirect.com (test_industrial_monitor_unbalance)",
        MOTOR,
        lines("480", "476", "472"),
        "EL-5 unit",
        "pass",
        {"476": "476.0 V", "0.84": "0.84 %"},
        lines("484", "476", "472"),
        "fail",
    ),
]

# ---- circuits


def heater(power: str, *, feeds_blower: bool = False, terminals: int = 60, blower_a: str = "3 A") -> Any:
    """A unit on 240 V with a kit of one circuit, nothing marked on it."""
    circuit = f'stages = ["1"]\nfeeds_blower = {str(feeds_blower).lower()}\nterminals = {terminals}'
    return unit(ON_240, blower(full_load_current=blower_a), kit(power, "240 V", circuit))


def circuit(device: str, conductor: str, **more: str) -> dict[str, str]:
    """A device and a conductor, and whatever else is said of the circuit."""
    return {
        f"electrical.circuit.1.{name}": typed
        for name, typed in {"device": device, "conductor": conductor, **more}.items()
    }


NEWSLETTER = "Mike Holt Enterprises, newsletter 2089, answer 1 (test_mike_holt_newsletter)"
THREAD_78707 = "forums.mikeholt.com, thread 78707 (test_mike_holt_forums)"
THREAD_63217 = "forums.mikeholt.com, thread 63217 (test_mike_holt_forums)"
THREAD_89927 = "forums.mikeholt.com, thread 89927 (test_mike_holt_forums)"
TABLE = "intrysys.com, table of electric furnaces (test_intrysys_furnaces)"
STALLCUP = "Stallcup, Applying Correction Factors (test_stallcup_correction)"
DIVIDED = "NEC 424.22(B): 11.52 kW at 240 V is 48.0 A, one part of at most 48 A"

CIRCUITS = [
    row(
        "published",
        "9600 W and a blower of 3 A: device",
        NEWSLETTER,
        heater("9600 W", feeds_blower=True),
        circuit("60 A", "6 AWG"),
        "EL-8 circuit.1",
        "pass",
        {"43": "43.00 A", "53.75": "53.75 A", "60": "60.00 A"},
        circuit("50 A", "6 AWG"),
        "fail",
    ),
    row(
        "published",
        "9600 W and a blower of 3 A: conductor",
        NEWSLETTER,
        heater("9600 W", feeds_blower=True),
        circuit("60 A", "6 AWG"),
        "EL-9 circuit.1",
        "pass",
        {"55": "55.00 A", "53.75": "53.75 A", "60": "60.00 A"},
        circuit("60 A", "8 AWG"),
        "fail",
    ),
    row(
        "published",
        "5 kW: device",
        THREAD_78707,
        heater("5 kW"),
        circuit("30 A", "10 AWG"),
        "EL-8 circuit.1",
        "pass",
        {"20.83": "20.83 A", "26.04": "26.04 A", "30": "30.00 A"},
        circuit("25 A", "10 AWG"),
        "fail",
    ),
    row(
        "published",
        "5 kW: conductor",
        THREAD_78707,
        heater("5 kW"),
        circuit("30 A", "10 AWG"),
        "EL-9 circuit.1",
        "pass",
        {"26.04": "26.04 A", "30": "30.00 A"},
        circuit("30 A", "12 AWG"),
        "fail",
    ),
    row(
        "published",
        "5000 W and a blower of 3 A",
        THREAD_63217,
        heater("5000 W", feeds_blower=True),
        circuit("30 A", "10 AWG"),
        "EL-8 circuit.1",
        "pass",
        {"29.79": "29.79 A", "30": "30.00 A"},
        circuit("35 A", "10 AWG"),
        "fail",
    ),
    row(
        "published",
        "10 kW: device",
        TABLE,
        heater("10 kW"),
        circuit("60 A", "6 AWG"),
        "EL-8 circuit.1",
        "pass",
        {"41.67": "41.67 A", "52.08": "52.08 A", "60": "60.00 A"},
        circuit("70 A", "6 AWG"),
        "fail",
    ),
    row(
        "published",
        "10 kW: conductor",
        TABLE,
        heater("10 kW"),
        circuit("60 A", "6 AWG"),
        "EL-9 circuit.1",
        "pass",
        {"52.08": "52.08 A", "60": "60.00 A"},
        circuit("60 A", "8 AWG"),
        "fail",
    ),
    row(
        "published",
        "15 kW: device",
        THREAD_89927,
        heater("15 kW"),
        circuit("80 A", "3 AWG"),
        "EL-8 circuit.1",
        "pass",
        {"62.5": "62.50 A", "78.1": "78.12 A"},
        circuit("70 A", "3 AWG"),
        "fail",
    ),
    row(
        "published",
        "15 kW must be divided",
        THREAD_89927,
        heater("15 kW"),
        circuit("80 A", "3 AWG"),
        "EL-10 unit",
        "fail",
        {"62.5": "62.5 A", "60": "60.00 A"},
        {"electrical.circuit.2.device": "40 A"} | circuit("40 A", "8 AWG"),
        "pass",
        other_unit=unit(
            ON_240,
            blower(),
            kit("15 kW", "240 V", 'stages = ["1"]', 'stages = ["2"]', stages=("7.5 kW", "7.5 kW")),
        ),
    ),
    row(
        "published",
        "10 AWG at 120 °F",
        STALLCUP,
        heater("5 kW", terminals=75),
        circuit("30 A", "10 AWG", ambient="120 F", conductors="3"),
        "EL-9 circuit.1",
        "pass",
        {"32.8": "32.80 A"},
        circuit("30 A", "10 AWG", ambient="150 F", conductors="3"),
        "fail",
    ),
    row(
        "published",
        "20 A over 100 ft of 12 AWG",
        "fatskills.com, Wire Sizing and Voltage Drop (test_weaker_sources)",
        heater("4.8 kW"),
        circuit("25 A", "12 AWG", length="100 ft"),
        "EL-12 circuit.1.computed",
        "fail",
        {"7.92": "7.92 V", "3.3": "3.3%"},
        circuit("25 A", "12 AWG", length="90 ft"),
        "pass",
    ),
    row(
        "own_arithmetic",
        "48.0 A is not divided",
        DIVIDED,
        heater("11.52 kW"),
        circuit("60 A", "6 AWG"),
        "EL-10 unit",
        "pass",
        {"48.0": "48.00 A", "1": "1 part"},
        {},
        "fail",
        other_unit=heater("11521 W"),
    ),
]


@pytest.mark.parametrize("example", [*SUPPLIES, *UNBALANCES, *CIRCUITS])
def test_the_finding_says_the_printed_figures_and_the_verdict(example: Example) -> None:
    """Typed as its source gives it."""
    example.says_what_is_printed()


@pytest.mark.parametrize("example", [*SUPPLIES, *UNBALANCES, *CIRCUITS])
def test_other_readings_give_another_verdict(example: Example) -> None:
    """No row passes whatever is typed."""
    example.can_fail()
