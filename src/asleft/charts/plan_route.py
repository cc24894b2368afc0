"""The plan as a route over addresses: what to look at, set and read back at each, and where to cut power."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from asleft.charts.chart import Cell, Chart, Doing, Route, Stop, Table

if TYPE_CHECKING:
    from asleft.sequence import Step
    from asleft.visit import View

HEADS = ("", "step", "at", "value", "shown", "state")
_WORDS = {"look": "look at", "write": "set", "read_back": "read back", "power": "power"}


def plan_route(view: View) -> Chart | None:
    """The steps of the plan, stop by stop; None at a unit that stores no settings.

    Power is switched at no address, and so at a stop of its own.
    """
    if not view.equipment.setting:
        return None
    steps = view.plan
    stops = tuple(_stop(view, list(group)) for _, group in groupby(steps, key=lambda step: step.address))
    rows = tuple(_row(view, step) for step in steps)
    return Chart(
        "plan-route",
        "The way through the settings",
        Route(stops),
        _note(steps, stops),
        Table(HEADS, rows),
        (),
        view.ledger.system,
    )


def state_of(step: Step) -> str:
    """How a step stands: done, failed, open, or waits for one before it."""
    if step.done:
        return "done"
    return "failed" if step.failed else "open" if step.ready else "waits"


def _address(view: View, id: str) -> str:
    return next((a.label for a in view.equipment.address if a.id == id), id)


def _label(view: View, id: str) -> str:
    setting = view.equipment.setting_of(id)
    return setting.label if setting else id


def _stop(view: View, steps: list[Step]) -> Stop:
    first = steps[0]
    following = view.next
    here = any(
        (
            (step.setting, step.address) == (following.setting, following.address)
            and step.do == following.do
            and bool(step.setting)
        )
        or (step.do == following.do == "power" and step.value == following.state and step.pending)
        for step in steps
    )
    doings = tuple(_doings(view, steps))
    if first.do == "power":
        return Stop("Power at the unit", doings, cut=True, here=here)
    return Stop(_address(view, first.address), doings, here=here)


def _doings(view: View, steps: list[Step]) -> Iterator[Doing]:
    for step in steps:
        if step.do == "power":
            yield Doing(f"switch power {step.value}", state_of(step), f"power {step.value}")
            continue
        label = _label(view, step.setting)
        match step.do:
            case "look":
                text = f"{label}: {step.shown}" if step.shown else label
            case "write":
                text = (
                    f"{label}: {step.value}" if step.done else f"{label}: {step.shown or '?'} to {step.value}"
                )
            case _:
                text = f"{label}: {step.value}" if step.value else label
        yield Doing(f"{_WORDS[step.do]} {text}", state_of(step), _WORDS[step.do])


def _row(view: View, step: Step) -> tuple[Cell, ...]:
    if step.do == "power":
        return (str(step.n), f"switch power {step.value}", "the unit", "", "", state_of(step))
    words = f"{_WORDS[step.do]} {_label(view, step.setting)}"
    return (str(step.n), words, _address(view, step.address), step.value, step.shown, state_of(step))


def _note(steps: tuple[Step, ...], stops: tuple[Stop, ...]) -> str:
    if not steps:
        return "Nothing has to be entered."
    writes = [s for s in steps if s.do == "write"]
    cuts = sum(s.do == "power" and s.value == "off" for s in steps)
    left = sum(s.pending for s in steps)
    many = len(stops) - sum(stop.cut for stop in stops)
    power = "power stays on" if not cuts else f"power is cut {'once' if cuts == 1 else f'{cuts} times'}"
    done = "all done" if not left else f"{left} of {len(steps)} steps still open"
    changes = "nothing is to be changed" if not writes else f"{len(writes)} settings to change"
    changes = "1 setting to change" if len(writes) == 1 else changes
    gone = f"{many} stop{'' if many == 1 else 's'}"
    return f"{gone}, {changes}, {power}; {done}."
