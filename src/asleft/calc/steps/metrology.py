"""Steps of the calculations of how well a reading is known and whether that is good enough."""

from __future__ import annotations

from asleft.calc.steps.sheet import Sheet, number


def instrument_uncertainty(sheet: Sheet) -> list[str]:
    limit, standard = sheet.came("limit"), sheet.came("standard")
    part = f"{number(sheet.value('percent'))} / 100 × |{sheet.given('reading')}|"
    counts = f"{sheet.given('counts')} × {sheet.given('resolution')}"
    return [
        f"limit a = {part} + {counts} + {sheet.given('absolute')} = {limit}",
        f"standard u = {limit} / sqrt(3) = {standard}",
        f"expanded U = 2 × {standard} = {sheet.came('expanded')}",
    ]


def conformity(sheet: Sheet) -> list[str]:
    value, expanded = sheet.given("value"), sheet.given("expanded")
    kind = sheet.kinds("expanded")[0]
    lines = []
    tails = []
    for name, sign in (("lower", 1.0), ("upper", -1.0)):
        if not sheet.items(name):
            continue
        limit = sheet.given(name)
        margin = sheet.write(sign * (sheet.value("value") - sheet.value(name)), kind)
        first, last = (value, limit) if sign > 0 else (limit, value)
        lines.append(f"inside {name} by = {first} - {last} = {margin}")
        tails.append(margin)
    lines.append(f"against U, {expanded} (k = 2): {sheet.came('verdict')}")
    if sheet.value("expanded") > 0:
        standard = sheet.write(sheet.value("expanded") / 2, kind)
        parts = " + ".join(f"Phi({margin} / {standard})" for margin in tails)
        less = " - 1" if len(tails) == 2 else ""
        lines += [
            f"u = {expanded} / 2 = {standard}",
            f"probability = {parts}{less} = {sheet.came('probability')}",
            "Phi: the area under the normal curve below its argument",
        ]
    return lines
