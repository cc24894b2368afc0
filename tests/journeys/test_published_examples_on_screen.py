"""Three published examples typed key by key into the real screen: figures and verdicts are drawn there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from asleft.drill.technician import SimulatedClock, act, session_id
from asleft.equipment.model import EquipmentFile
from asleft.tui import Wizard
from asleft.visit import Visit
from journeys.test_whole_visit import Person
from published.typed import Bench, blower, kit, supply, unit

SIZES = [(80, 24), (120, 40)]
MOST_ACTS = 100
"""More acts than any example takes."""
MOST_ROWS = 60
"""More rows than a pane of these units has."""


@dataclass(frozen=True)
class Shown:
    """A published example: its unit, what is typed for it, and what must be drawn of one row.

    ``drawn`` stands on the page of the row's working. ``otherwise`` is typed over the example in another
    visit and must turn the verdict to ``then``; one that fails is told on the first row of its readings.
    """

    unit: EquipmentFile
    typed: dict[str, str]
    row: str
    verdict: str
    drawn: tuple[str, ...]
    otherwise: dict[str, str]
    then: str


EXAMPLES = [
    # eng-tips.com, thread 481112: 5 V of a mean of 460 V, 1.09 %, above the 1 % of NEMA MG 1.
    pytest.param(
        Shown(
            unit(supply("480 V", "400 V", "520 V", phases=3), blower(phases=3)),
            {
                "identity.system": "wye",
                "electrical.line.l1_l2": "462",
                "electrical.line.l2_l3": "463",
                "electrical.line.l3_l1": "455",
            },
            "electrical.line.l1_l2",
            "FAIL",
            ("EL-5 unit (advise): fail", "460.0 V: 5.0 V, 1.09 %", "Source: NEMA MG 1"),
            {"electrical.line.l3_l1": "458"},
            "pass",
        ),
        id="462, 463 and 455 V",
    ),
    # Mike Holt Enterprises, newsletter 2089, answer 1: 43 A, 53.75 A, a device of 60 A, 6 AWG of 55 A.
    pytest.param(
        Shown(
            unit(
                supply("240 V", "200 V", "260 V"),
                blower(full_load_current="3 A"),
                kit("9600 W", "240 V", 'stages = ["1"]\nfeeds_blower = true\nterminals = 60'),
            ),
            {
                "electrical.circuit.1.device": "60",
                "electrical.circuit.1.conductor": "6 AWG",
                "electrical.circuit.1.conductors": "3",
            },
            "electrical.circuit.1.device",
            "pass",
            ("EL-8 circuit.1 (hold): pass", "1.25 x 43.00 A = 53.75 A", "60.00 A", "Source: NEC 424.4(B)"),
            {"electrical.circuit.1.device": "50"},
            "FAIL",
        ),
        id="9600 W and a blower of 3 A",
    ),
    # ACHR News, article 91057: 10 kW at 240 V draws 36.11 A on 208 V and gives 7.5 kW, 75 %.
    pytest.param(
        Shown(
            unit(
                supply("208 V", "187 V", "229 V"),
                blower(),
                kit("10 kW", "240 V", 'stages = ["1"]', more='supplies = ["mains"]'),
            ),
            {
                "electrical.blower.current": "0",
                "electrical.stage.1.current": "36.11",
                "electrical.loaded.l1_l2": "208.0",
            },
            "electrical.stage.1.current",
            "pass",
            (
                "EL-15 stage.1 (correct): pass",
                "36.11 A at 208.0 V = 100.0 %",
                "EL-17 unit",
                "75% of that: 7.51 kW",
            ),
            {"electrical.stage.1.current": "18.05"},
            "see EL-15",
        ),
        id="10 kW on 208 V",
    ),
]


def wizard(folder: Path, example: Shown, typed: dict[str, str]) -> tuple[Wizard, Bench]:
    """A visit on the screen, its unit's figures about to be told there; and what its instruments show."""
    visit = Visit.create(
        folder,
        example.unit,
        {},
        site="Mill Lane 3",
        by="Ada",
        clock=SimulatedClock(1),
        session_id=session_id(1),
    )
    bench = Bench(example.unit.equipment, typed)
    go_near(visit, bench, typed)
    return Wizard(visit, bench), bench


def go_near(visit: Visit, bench: Bench, typed: dict[str, str]) -> None:
    """Do what is next as far as the first of the figures, which the screen has no part in."""
    for _ in range(MOST_ACTS):
        following = visit.view.next
        if following.enter in typed:
            return
        visit.submit(*act(visit.view, bench))
    raise AssertionError(f"not asked for: {set(typed)}")


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("example", EXAMPLES)
async def test_the_figures_and_the_verdict_are_drawn(
    tmp_path: Path, example: Shown, size: tuple[int, int]
) -> None:
    """The row says the verdict, and F4 the figures with their source."""
    app, bench = wizard(tmp_path, example, example.typed)
    async with app.run_test(size=size) as pilot:
        person = Person(pilot)
        await type_in(person, bench, example.typed)
        assert (await row_drawn(person, example)).endswith(f" {example.verdict}")
        person.press("f4")

        def page() -> str:
            # What stands between the borders, and not what shows of the wizard at both sides of them.
            between = (line.partition("│")[2].rpartition("│")[0] for line in person.lines())
            return re.sub(r"[▁-█\s]+", " ", " ".join(between))

        await person.until(lambda: "Rule:" in page(), "F4 opens nothing")
        for words in example.drawn:
            await person.until(lambda words=words: words in page(), f"{words!r} is not on the page")


@pytest.mark.parametrize("example", EXAMPLES)
async def test_another_reading_draws_another_verdict(tmp_path: Path, example: Shown) -> None:
    """The same row, one reading typed otherwise."""
    typed = example.typed | example.otherwise
    app, bench = wizard(tmp_path, example, typed)
    async with app.run_test(size=SIZES[0]) as pilot:
        person = Person(pilot)
        await type_in(person, bench, typed)
        assert (await row_drawn(person, example)).endswith(f" {example.then}")


async def row_drawn(person: Person, example: Shown) -> str:
    """Up to the row of the example, and how it is drawn."""
    for _ in range(MOST_ROWS):
        if person.app.screen.row.left == example.row:  # type: ignore[attr-defined]
            return next(
                part.rstrip() for line in person.lines() if (part := line.rpartition("│")[2]).startswith("▸")
            )
        await person.pilot.press("up")
    raise AssertionError(f"no row of {example.row}\n" + "\n".join(person.lines()))


async def type_in(person: Person, bench: Bench, typed: dict[str, str]) -> None:
    """Do what is next, by keys alone, until all that the example gives stands on the screen."""
    left = set(typed)
    await person.until(person.act, "the wizard does not say what is next")
    for _ in range(MOST_ACTS):
        if not left:
            return
        act = await person.go()
        head, _, rest = act.partition(":")
        text = {"acknowledge": "yes", "power": rest.strip()}.get(head) or bench.reads(head)
        if text:
            await person.type(text)
        else:
            person.press("f3")
            await person.until(lambda: person.message().startswith("Rig: refused"), f"nothing refused: {act}")
        await person.enter()
        left.discard(act)
    raise AssertionError(f"not asked for: {left}")
