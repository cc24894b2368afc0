"""`asleft equipment new`: asks for the data plate line by line and writes a sparse file.

    Maker: Osmere
    Nominal voltage [240 V]:
    Full-load current of the blower, such as 4.3 A (Enter: the plate does not say): 4.3
      found "4.3", expected a current with its unit, such as "3.1 A"

Questions go to standard error, the outcome to standard output: the file, the checks it makes possible, what
to look up next. Answers come from standard input, a terminal or not. Nothing is written before the last one.
"""

from __future__ import annotations

import os
import re
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import Any, TextIO

from asleft.equipment.errors import printable
from asleft.line.equipment_interview import Ended, Interview, keep
from asleft.line.equipment_sparse import as_toml, possible, wanted
from asleft.line.text import dumped, plain, say, say_all, wrapped
from asleft.quantity import parse

_SILENT = "Enter: the plate does not say"
_NO_MORE = "Enter: no more"
_NOT_IN_AN_ID = re.compile(r"[^a-z0-9]+")
_MOST = 20
"""Supplies, kits or rows asked for; a longer list is easier in an editor."""


def run(
    path: Path | None,
    *,
    as_json: bool,
    folder: Path,
    source: TextIO | None = None,
    out: TextIO | None = None,
    err: TextIO | None = None,
) -> int:
    """Ask, write, say what for. Gives 0; 2 where the file is there already or the input ends. Raises OSError.

    Without a path the file goes to a person's own ``folder``, where its id alone names it.
    """
    shown = err or sys.stderr
    if path is not None and path.exists():
        return _refused(f"{path} is there already; name another file", shown)
    say('Every line is one answer. Enter takes what stands in [brackets]; "?" says what is meant.', shown)
    try:
        asked = Interview(source or sys.stdin, shown)
        raw = interview(asked)
    except Ended as ended:
        say("", shown)
        return _refused(f"{ended} Nothing was written", shown)
    except KeyboardInterrupt:
        say("\nasleft: stopped; nothing was written.", shown)
        raise
    if path is None:
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"{raw['unit']['id']}.toml"
    try:
        _write(path, as_toml(raw, asked.notes))
    except FileExistsError:
        return _refused(f"{path} is there already; nothing was written. Name another with --out", shown)
    told = [{"field": want.field, "checks": list(want.checks)} for want in wanted(raw)]
    if as_json:
        report = {"file": str(path), "id": raw["unit"]["id"], "possible": possible(raw), "wanted": told}
        say(dumped(report), out)
    else:
        say_all(_outcome(path, raw), out)
    return 0


def _refused(why: str, shown: TextIO) -> int:
    say(f"asleft: {plain(why)}.", shown)
    return 2


def _write(path: Path, text: str) -> None:
    """Write a new file whole, or leave none. Raises FileExistsError, OSError."""
    with ExitStack() as unfinished, path.open("x", encoding="utf-8", newline="\n") as file:
        unfinished.callback(path.unlink, missing_ok=True)
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
        unfinished.pop_all()


def _outcome(path: Path, raw: dict[str, Any]) -> list[str]:
    from asleft.checks.catalogue import catalogue

    titles = {rule.id: rule.title for rule in catalogue()}
    listed = "; ".join(f"{id} {titles[id]}" for id in possible(raw))
    lines = [
        f"Written: {printable(str(path), 300)}",
        "",
        wrapped(f"It makes these checks possible: {listed}."),
    ]
    lines += ["", "To look up next:"]
    for want in wanted(raw):
        what = want.field.replace(" | ", " or ").replace("topic:", "a topic with role ")
        checks = "; ".join(f"{id} {titles[id]}" for id in want.checks)
        lines.append(wrapped(f"{what}, for {checks}", "  "))
    return [*lines, "", "asleft equipment explain PART says what each of them means."]


def interview(i: Interview) -> dict[str, Any]:
    """Ask for everything that a data plate says, and give the file. Raises Ended."""
    _unit(i)
    _supplies(i)
    _blower(i)
    _tier(i)
    _kits(i)
    i.heading("limits")
    i.ask(("limits", "leaving_air"), optional=_SILENT)
    return i.raw


def _unit(i: Interview) -> None:
    i.heading("unit")
    maker = i.ask(("unit", "maker"))
    model = i.ask(("unit", "model"))
    i.ask(("unit", "id"), default=short_id(f"{maker} {model}"))
    i.ask(("unit", "cooling_capacity"), optional=_SILENT)
    i.ask(("unit", "orientations"), _listed, optional=_SILENT)


def _supplies(i: Interview) -> None:
    i.heading("supply")
    for n in range(_MOST):

        def begin(raw: dict[str, Any], nominal: str, n: int = n) -> None:
            taken = [supply["id"] for supply in raw.get("supply", ())]
            keep(raw, ("supply", n, "id"), _free(short_id(re.split(r"[^0-9.]", nominal)[0]), taken))
            keep(raw, ("supply", n, "nominal"), nominal)

        nominal = i.ask(("supply", n, "nominal"), optional=_NO_MORE if n else "", put=begin)
        if nominal is None:
            return
        i.ask(("supply", n, "phases"), _whole)
        i.ask(("supply", n, "frequency"), _whole)
        volts, (fraction, why) = parse(nominal, "voltage").value, i.band
        band = {"lowest": f"{volts * (1 - fraction):.4g} V", "highest": f"{volts * (1 + fraction):.4g} V"}

        def ends(raw: dict[str, Any], low: str, n: int = n, high: str = band["highest"]) -> None:
            # With the other end there, a lowest above the nominal is refused now, and not at the next answer.
            keep(raw, ("supply", n, "lowest"), low)
            keep(raw, ("supply", n, "highest"), high)

        for key, offered in band.items():
            put = ends if key == "lowest" else None
            i.ask(("supply", n, key), default=offered, put=put)
            if i.took_offer:
                i.notes[f"supply.{key}", offered] = why


def _blower(i: Interview) -> None:
    i.heading("blower")
    for key in ("full_load_current", "lowest_airflow", "highest_airflow", "highest_static"):
        i.ask(("blower", key), optional=_SILENT)


def _tier(i: Interview) -> None:
    i.heading("blower.tier")
    tier = ("blower", "tier", 0)

    def begin(raw: dict[str, Any], label: str) -> None:
        keep(raw, (*tier, "id"), short_id(label))
        keep(raw, (*tier, "label"), label)

    i.ask((*tier, "label"), put=begin)
    speed = (*tier, "speed", 0)

    def units(raw: dict[str, Any], found: list[str]) -> None:
        keep(raw, (*speed, "use"), "cooling")
        keep(raw, (*speed, "units"), found)
        keep(raw, (*speed, "rows"), [[0, "", ""], [1, "", ""]])

    i.ask((*speed, "units"), _listed, put=units)
    rows: list[list[Any]] = []
    for n in range(_MOST):

        def add(raw: dict[str, Any], row: list[Any]) -> None:
            # A table of one row is refused for its length alone: a blank second one lets the first be judged.
            static = row[0] if isinstance(row[0], int | float) else 0
            more = [] if rows else [[static + 1e-6, "", ""]]
            keep(raw, (*speed, "rows"), [*rows, row, *more])

        answer = i.ask((*speed, "rows"), _row, optional=_NO_MORE if n > 1 else "", put=add)
        if answer is None:
            return
        rows.append(_row(answer))


def _kits(i: Interview) -> None:
    i.heading("heater")
    for n in range(_MOST):
        kit = ("heater", n)

        def begin(raw: dict[str, Any], label: str, kit: tuple[str, int] = kit) -> None:
            taken = [other["id"] for other in raw.get("heater", ())]
            keep(raw, (*kit, "id"), _free(short_id(label), taken))
            keep(raw, (*kit, "label"), label)

        if i.ask((*kit, "label"), optional=_NO_MORE if n else "Enter: none", put=begin) is None:
            return
        power = i.ask((*kit, "power"))
        i.ask((*kit, "voltage"), default=i.raw["supply"][0]["nominal"])

        def stages(raw: dict[str, Any], powers: list[str], kit: tuple[str, int] = kit) -> None:
            keep(raw, (*kit, "stage"), [{"id": str(m), "power": p} for m, p in enumerate(powers, 1)])

        i.ask((*kit, "stage", "power"), _listed, default=power, put=stages)
        for key in ("minimum", "maximum"):

            def mark(raw: dict[str, Any], amps: str, kit: tuple[str, int] = kit, key: str = key) -> None:
                landed = [stage["id"] for stage in raw["heater"][kit[1]]["stage"]]
                keep(raw, (*kit, "circuit", 0, "stages"), landed)
                keep(raw, (*kit, "circuit", 0, key), amps)

            i.ask((*kit, "circuit", key), optional=_SILENT, put=mark)
        if "circuit" in i.raw["heater"][n]:
            i.ask((*kit, "circuit", 0, "feeds_blower"), _yes)
        i.ask((*kit, "least_airflow"), optional=_SILENT)


def short_id(text: str) -> str:
    """An id made of a name.

    >>> short_id("Osmere Brook B24/2")
    'osmere-brook-b24-2'
    """
    return _NOT_IN_AN_ID.sub("-", text.casefold()).strip("-")[:32].strip("-") or "1"


def _free(short: str, taken: list[str]) -> str:
    return short if short not in taken else f"{short[:29]}-{len(taken) + 1}"


def _whole(text: str) -> Any:
    return int(text) if re.fullmatch(r"[0-9]{1,8}", text) else text


def _listed(text: str) -> list[str]:
    return [word for word in (part.strip() for part in re.split(r"[,;]", text)) if word] or [text]


def _yes(text: str) -> Any:
    return {"yes": True, "y": True, "no": False, "n": False}.get(text.casefold(), text)


def _row(text: str) -> list[Any]:
    cells = [_cell(word) for word in re.split(r"[\s,;]+", text) if word]
    return [*cells, *[""] * (3 - len(cells))]


def _cell(text: str) -> Any:
    if text == "-":
        return ""
    if re.fullmatch(r"[0-9]{1,8}", text):
        return int(text)
    return float(text) if re.fullmatch(r"[0-9]{0,8}\.[0-9]{1,8}", text) else text
