"""Every circuit of an installed unit in one moment: volts at its terminals, amps in its legs, heat."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from asleft.calc import phase_factor
from asleft.installation.lines import each_line_ohm, triangle
from asleft.installation.network import Network
from asleft.installation.unit import BLOWER_FEED

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Stage
    from asleft.installation.unit import Installation

LEGS = ("l1", "l2", "l3")
Pair = tuple[int, int]
Volts = list[complex | None]

TURNS = 0.5
"""Part of its volts below which a motor does not turn and a relay does not hold (common practice)."""
PASSES = 60
"""At most so many times a motor's current is taken again at the volts that it leaves itself."""


def feeds(truth: Installation, equipment: Equipment) -> tuple[str, ...]:
    """The kit's circuits by number, and the blower's own supply where none of them feeds it."""
    kit = equipment.kit(truth.kit)
    circuits = kit.circuit if kit else ()
    own = () if any(c.feeds_blower for c in circuits) else (BLOWER_FEED,)
    return (*(str(n) for n, _ in enumerate(circuits, 1)), *own)


def blower_feed(truth: Installation, equipment: Equipment) -> str:
    """The feed of the blower and of the control's transformer."""
    kit = equipment.kit(truth.kit)
    circuits = kit.circuit if kit else ()
    return next((str(n) for n, c in enumerate(circuits, 1) if c.feeds_blower), BLOWER_FEED)


def source_v(truth: Installation) -> tuple[float, ...]:
    """Volts of each pair of lines at the source."""
    mean = truth.source_v * (1.0 - truth.wiring.sag)
    return (mean,) if truth.phases == 1 else tuple(mean * (1.0 + off) for off in truth.spread)


def ground_shares(system: str) -> tuple[float, float, float]:
    """Each leg's volts to ground as a share of line to line."""
    match system:
        case "wye":
            share = 1.0 / math.sqrt(3.0)
            return share, share, share
        case "high-leg":
            return 0.5, math.sqrt(3.0) / 2.0, 0.5
        case "line-neutral":
            return 1.0, 0.0, 0.0
        case _:
            return 0.5, 0.5, 0.5


@dataclass(frozen=True, slots=True)
class _Load:
    """A resistance between two points; a leg of None is behind an open contact."""

    feed: str
    stage: int
    legs: tuple[int | None, int | None]
    points: tuple[int, int]
    siemens: float
    to_frame: bool = False


@dataclass(frozen=True, slots=True)
class Feed:
    """One feed in one moment; `joint_v` is across the joint of each leg, `leak_a` what does not return."""

    pairs_v: tuple[float, ...]
    ground_v: tuple[float, ...]
    lines_a: tuple[float, ...]
    joint_v: tuple[float, ...]
    leak_a: float


@dataclass(frozen=True, slots=True)
class Flow:
    """All feeds together; `panel_v` is each pair of lines where the feeds begin."""

    feeds: Mapping[str, Feed]
    panel_v: tuple[float, ...]
    heat_w: float = 0.0
    blower_alive: bool = False


@dataclass(slots=True)
class _Built:
    """The network of a moment and where its parts are."""

    network: Network
    panel: tuple[int, ...]
    terminals: dict[str, tuple[int, ...]] = field(default_factory=dict)
    loads: list[_Load] = field(default_factory=list)


class Circuits:
    """The circuits of one unit, whatever is called."""

    def __init__(self, truth: Installation, equipment: Equipment) -> None:
        self.truth, self.equipment = truth, equipment
        self.kit = equipment.kit(truth.kit)
        self.feeds = feeds(truth, equipment)
        self.home = blower_feed(truth, equipment)
        told = source_v(truth)
        three = len(told) == 3 or (self.kit is not None and self.kit.phases == 3)
        self.told = told if len(told) == 3 or not three else told * 3
        self.lines = self._lines()
        self.resting = self.flow(())
        self.alive = self.resting.blower_alive

    @property
    def main(self) -> str:
        """The feed at whose terminals the unit's line voltage is read."""
        return self.feeds[0]

    def legs(self) -> int:
        """How many legs the kit's circuits have."""
        return 3 if self.kit is not None and self.kit.phases == 3 else 2

    def leg_told(self, leg: int) -> float:
        """Volts to ground of a line: a share of the mean of the pairs that it takes part in."""
        mean = self.truth.source_v * (1.0 - self.truth.wiring.sag)
        own = (self.told[leg], self.told[leg - 1]) if len(self.told) == 3 else (mean,)
        return sum(own) / len(own) * ground_shares(self.truth.system)[leg]

    def flow(self, on: Collection[int], blower_w: float = 0.0, *, limit_open: bool = False) -> Flow:
        """What flows with these stages called, counted from 1, and a blower that draws so many watts.

        An open limit breaks every stage, whatever its contacts do.
        """
        built = self._build(() if limit_open else on, limit_open)
        wires: dict[Pair, float] = {}
        for load in built.loads:
            wires[load.points] = wires.get(load.points, 0.0) + load.siemens
        volts = built.network.solve(wires)
        motor: dict[Pair, float] = {}
        if blower_w > 0.0 and self.alive:
            motor, volts = self._with_motor(built, wires, volts, blower_w)
        return self._read(built, motor, volts)

    # ---- what there is

    def _lines(self) -> tuple[complex, ...]:
        """Volts of each line against earth, as the supply is grounded."""
        pairs, system = triangle(self.told), self.truth.system
        if len(pairs) == 1:
            volts = pairs[0].real
            first = {
                "wye": complex(0.5, 0.5 / math.sqrt(3.0)) * volts,
                "high-leg": complex(0.25, math.sqrt(3.0) / 4.0) * volts,
                "line-neutral": complex(volts),
            }.get(system, complex(volts / 2.0))
            return first, first - volts
        first = -pairs[2] / 2.0 if system == "high-leg" else (pairs[0] - pairs[2]) / 3.0
        return first, first - pairs[0], first - pairs[0] - pairs[1]

    def _build(self, on: Collection[int], limit_open: bool) -> _Built:
        network, truth, wiring = Network(), self.truth, self.truth.wiring
        lines = len(self.lines)
        source_ohm = each_line_ohm(truth.source_ohm, 1 if lines == 2 else 3)
        panel = tuple(network.wire(network.hold(volts), source_ohm) for volts in self.lines)
        built = _Built(network, panel)
        for name in self.feeds:
            ends = []
            for leg in LEGS[:lines]:
                if wiring.open.get((name, leg)):
                    ends.append(network.loose())
                    continue
                start = panel[LEGS.index(wiring.landed.get((name, leg), leg))]
                ends.append(network.wire(start, self._leg_ohm(name, leg)))
            built.terminals[name] = tuple(ends)
        network.link(*built.terminals[self.home][:2])
        frame = network.wire(network.hold(0j), truth.ground_ohm)
        for number, stage in enumerate(self.kit.stage if self.kit else (), 1):
            closed = number in on or (bool(truth.elements.welded.get(number)) and not limit_open)
            self._stage(built, number, stage, frame, closed)
        return built

    def _leg_ohm(self, feed: str, leg: str) -> float:
        loop_ohm = 0.0
        if feed != BLOWER_FEED and int(feed) <= len(self.truth.branches) and self.kit is not None:
            loop_ohm = each_line_ohm(self.truth.branches[int(feed) - 1].loop_ohm, self.kit.phases)
        return loop_ohm + self.truth.wiring.joint_ohm.get((feed, leg), 0.0)

    def _stage(self, built: _Built, number: int, stage: Stage, frame: int, closed: bool) -> None:
        """The elements of a stage, as far as anything can flow in them."""
        assert self.kit is not None
        elements, feed = self.truth.elements, self._feed_of(stage)
        grounded_ohm = elements.grounded_ohm.get(number)
        if feed is None or (not closed and grounded_ohm is None):
            return
        network, legs = built.network, range(self.legs())
        # The contacts break every leg but the first.
        ends = [built.terminals[feed][n] if closed or n == 0 else network.loose() for n in legs]
        names: list[int | None] = [n if closed or n == 0 else None for n in legs]
        if stage.connection == "wye" and len(ends) == 3:
            ends.append(network.loose())
            names.append(None)
            between = [(0, 3), (1, 3), (2, 3)]
        else:
            between = [(0, 1)] if len(ends) == 2 else [(0, 1), (1, 2), (2, 0)]
        for branch, (a, b) in enumerate(between):
            for element in branch_elements(stage, len(between), branch):
                siemens = self.element_siemens(number, stage)
                open_ = bool(elements.open.get((number, element)))
                if element == 1 and grounded_ohm is not None:
                    tap = network.wire(frame, grounded_ohm)
                    halves = ((a, tap),) if open_ else ((a, tap), (b, tap))
                    built.loads.extend(
                        _Load(feed, number, (names[n], None), (ends[n], tap), 2.0 * siemens, True)
                        for n, tap in halves
                    )
                elif not open_:
                    built.loads.append(_Load(feed, number, (names[a], names[b]), (ends[a], ends[b]), siemens))

    def _feed_of(self, stage: Stage) -> str | None:
        circuits = self.kit.circuit if self.kit else ()
        return next((str(n) for n, c in enumerate(circuits, 1) if stage.id in c.stages), None)

    def element_count(self, stage: Stage) -> int:
        """How many elements a stage has: three at least where they stand between three lines."""
        return max(stage.elements, 3) if self.kit is not None and self.kit.phases == 3 else stage.elements

    def element_siemens(self, number: int, stage: Stage) -> float:
        """Conductance of one element of a stage."""
        assert self.kit is not None
        watts = self.truth.elements.stage_w.get(number, stage.power)
        whole = watts * self.truth.element_factors[number - 1] / self.kit.voltage**2
        if self.kit.phases == 1:
            return whole / stage.elements
        # Three in wye carry the whole at volts over root 3 each, three in delta at the full volts.
        each = whole if stage.connection == "wye" else whole / 3.0
        return each / max(1, stage.elements // 3)

    # ---- what flows

    def _pairs(self) -> tuple[Pair, ...]:
        return ((0, 1),) if len(self.lines) == 2 else ((0, 1), (1, 2), (2, 0))

    def _motor_legs(self) -> tuple[Pair, ...]:
        return self._pairs() if self.equipment.blower.phases == 3 else self._pairs()[:1]

    def _with_motor(
        self, built: _Built, wires: Mapping[Pair, float], volts: Volts, blower_w: float
    ) -> tuple[dict[Pair, float], Volts]:
        """Conductance of a motor between each pair of its legs: the same watts at any volts it turns at."""
        ends, legs = built.terminals[self.home], self._motor_legs()
        factor = phase_factor(self.equipment.blower.phases) * self.truth.blower_power_factor
        floor_v, before = TURNS * self.told[0], 0.0
        motor: dict[Pair, float] = {}
        for _ in range(PASSES):
            across = [apart(volts, ends[a], ends[b]) for a, b in legs]
            amps = blower_w / (max(across[0], floor_v) * factor)
            each = amps / math.sqrt(3.0) if len(legs) == 3 else amps
            motor = {pair: each / max(v, floor_v) for pair, v in zip(legs, across, strict=True)}
            joined = dict(wires)
            for (a, b), siemens in motor.items():
                joined[ends[a], ends[b]] = joined.get((ends[a], ends[b]), 0.0) + siemens
            volts = built.network.solve(joined)
            if abs(across[0] - before) <= 1e-13 * across[0]:
                break
            before = across[0]
        return motor, volts

    def _read(self, built: _Built, motor: Mapping[Pair, float], volts: Volts) -> Flow:
        lines = {name: [0j] * len(self.lines) for name in self.feeds}
        leaks, heat_w = dict.fromkeys(self.feeds, 0j), 0.0
        for load in built.loads:
            a, b = (volts[p] for p in load.points)
            if a is None or b is None:
                continue
            amps = load.siemens * (a - b)
            heat_w += load.siemens * abs(a - b) ** 2
            for leg, sign in zip(load.legs, (1.0, -1.0), strict=True):
                if leg is not None:
                    lines[load.feed][leg] += sign * amps
            if load.to_frame:
                leaks[load.feed] += amps
        ends = built.terminals[self.home]
        for (first, second), siemens in motor.items():
            amps = siemens * ((volts[ends[first]] or 0j) - (volts[ends[second]] or 0j))
            lines[self.home][first] += amps
            lines[self.home][second] -= amps
        read = {name: self._feed(built, name, volts, lines[name], abs(leaks[name])) for name in self.feeds}
        motor_v = [read[self.home].pairs_v[self._pairs().index(p)] for p in self._motor_legs()]
        panel_v = tuple(self._pair_v(built.panel, volts, n) for n, _ in enumerate(self._pairs()))
        return Flow(read, panel_v, heat_w, min(motor_v) >= TURNS * self.told[0])

    def _feed(self, built: _Built, name: str, volts: Volts, lines: list[complex], leak_a: float) -> Feed:
        drawn = tuple(abs(amps) for amps in lines)
        joints = self.truth.wiring.joint_ohm
        return Feed(
            tuple(self._pair_v(built.terminals[name], volts, n) for n, _ in enumerate(self._pairs())),
            tuple(self._ground_v(built, name, volts, n) for n, _ in enumerate(lines)),
            drawn,
            tuple(amps * joints.get((name, leg), 0.0) for amps, leg in zip(drawn, LEGS, strict=False)),
            leak_a,
        )

    def _pair_v(self, ends: tuple[int, ...], volts: Volts, n: int) -> float:
        """Line to line at these ends: a meter across an open leg reads nothing."""
        a, b = self._pairs()[n]
        at_rest = abs(self.lines[a] - self.lines[b])
        return self.told[n] * (apart(volts, ends[a], ends[b]) / at_rest)

    def _ground_v(self, built: _Built, feed: str, volts: Volts, leg: int) -> float:
        now, at_rest = volts[built.terminals[feed][leg]], abs(self.lines[leg])
        if now is None:
            return 0.0
        return self.leg_told(leg) * (abs(now) / at_rest) if at_rest > 0.0 else abs(now)


def apart(volts: Volts, a: int, b: int) -> float:
    """Volts between two points; nothing across one that floats."""
    first, second = volts[a], volts[b]
    return 0.0 if first is None or second is None else abs(first - second)


def branch_elements(stage: Stage, branches: int, branch: int) -> tuple[int, ...]:
    """The elements of a stage that stand in one of its branches, counted from 1."""
    if branches == 1:
        return tuple(range(1, stage.elements + 1))
    count = max(1, stage.elements // branches)
    return tuple(1 + branch + branches * n for n in range(count))
