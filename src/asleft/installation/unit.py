"""One installed unit as it really is: everything that a person can only measure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Place = tuple[str, str]
"""A setting at an address."""

BLOWER_FEED = "blower"
"""The blower's supply where none of the kit's circuits feeds it; the others are "1", "2" and so on."""

Leg = tuple[str, str]
"""A feed and one of its legs: ("1", "l2")."""


@dataclass(frozen=True, slots=True)
class Branch:
    """One branch circuit as installed. `loop_ohm` times line current is its drop, line to line.

    `capacity_a` is the conductor's capacity by local rules, where those of North America do not govern.
    """

    device_a: float
    conductor: str
    material: str
    insulation_c: int
    ambient_c: float
    conductors: int
    loop_ohm: float
    capacity_a: float | None = None


@dataclass(frozen=True, slots=True)
class Wiring:
    """How the supply reaches the unit, less what `Branch` says. Unsaid, every joint is sound and in place.

    `landed` names the line that a leg really comes from; `foreign` the feeds that the unit's own devices do
    not open; `sag` is the part of `source_v` that is missing.
    """

    sag: float = 0.0
    joint_ohm: Mapping[Leg, float] = field(default_factory=dict)
    open: Mapping[Leg, bool] = field(default_factory=dict)
    landed: Mapping[Leg, str] = field(default_factory=dict)
    foreign: Mapping[str, bool] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Elements:
    """The heater, less what its label and `element_factors` say; stages and elements count from 1.

    `stage_w` is the power at the labelled voltage of what stands in place of a stage. `grounded_ohm` is what
    lies between the middle of a stage's first element and the frame. `limit_opens_c` is the air at which the
    limit opens, where that is not as made.
    """

    stage_w: Mapping[int, float] = field(default_factory=dict)
    open: Mapping[tuple[int, int], bool] = field(default_factory=dict)
    grounded_ohm: Mapping[int, float] = field(default_factory=dict)
    welded: Mapping[int, bool] = field(default_factory=dict)
    limit_opens_c: float | None = None


@dataclass(frozen=True, slots=True)
class Ducts:
    """What stands in the way of the air besides the healthy ducts, each as a coefficient of its own.

    `filter_part` is the clean filter's part of the return side. `zone_added` is what stands in the way while
    only the smallest zone is open; nothing where no zone dampers are fitted. `blower_speed` is the speed that
    the blower reaches, as a part of what it should.
    """

    filter_part: float = 0.4
    filter_added: float = 0.0
    return_added: float = 0.0
    supply_added: float = 0.0
    zone_added: float = 0.0
    blower_speed: float = 1.0


@dataclass(frozen=True, slots=True)
class Probes:
    """What comes between the truth and a person's instruments.

    `zero_pa` is what the manometer shows with both ports open; `elements_seen` the part of the elements' own
    rise that a probe in their sight reads on top. `meter_factor` is the part of the volts and ohms that the
    meter shows, `clamp_zero_a` what the clamp shows round nothing, `supply_probe_off_k` how much too warm the
    probe in the supply duct reads.
    """

    hoses_swapped: bool = False
    zero_pa: float = 0.0
    elements_seen: float = 0.0
    lead_open: bool = False
    meter_factor: float = 1.0
    clamp_zero_a: float = 0.0
    supply_probe_off_k: float = 0.0


@dataclass(frozen=True, slots=True)
class Control:
    """What the control really does.

    `found` are values that somebody left in it, before the visit; `deaf` the places at which it keeps what it
    has; `lands` the address that a write to a place really reaches; `lags` the settings that act only after a
    power cycle, whatever the maker says. `sensors_off_k` is how far from the room a sensor hangs, by the
    meaning of the option that listens to it. `tap` is the part of its volts that the transformer's tap gives.
    """

    found: Mapping[Place, str] = field(default_factory=dict)
    deaf: Mapping[Place, bool] = field(default_factory=dict)
    lands: Mapping[Place, str] = field(default_factory=dict)
    lags: Mapping[str, bool] = field(default_factory=dict)
    sensors_off_k: Mapping[str, float] = field(default_factory=dict)
    tap: float = 1.0
    added_va: float = 0.0


@dataclass(frozen=True, slots=True)
class Outdoors:
    """The heat pump and the weather. Unsaid, the pairing is the first listed and its cut-out the maker's."""

    air_c: float = (28.0 - 32.0) / 1.8
    pairing: str | None = None
    sensor_off_k: float = 0.0
    cut_out_c: float | None = None
    valve_reversed: bool = False


@dataclass(frozen=True, slots=True)
class Installation:
    """The truth behind the readings, in base units; a fault is a change to it.

    `exponent`, `fan_factor`, `element_factors` and `rise_factor` are what the estimate does not model: ducts
    that do not follow the square, a blower off its table, elements off their rating, a probe that lags.
    `source_v` is the mean of three line voltages; `spread` how far L1-L2, L2-L3 and L3-L1 are off it, as
    fractions. The parts from `wiring` on are healthy as they stand.
    """

    source_v: float
    source_ohm: float
    system: str
    phases: int
    ground_ohm: float
    control_factor: float
    control_regulation: float
    branches: tuple[Branch, ...]
    kit: str | None
    element_factors: tuple[float, ...]
    orientation: str | None
    altitude_m: float
    supply_coefficient: float
    return_coefficient: float
    exponent: float
    fan_factor: float
    blower_power_factor: float
    return_air_c: float
    rise_factor: float
    standby_a: float
    spread: tuple[float, float, float] = (0.0, 0.0, 0.0)
    wiring: Wiring = Wiring()
    elements: Elements = Elements()
    ducts: Ducts = Ducts()
    probes: Probes = Probes()
    control: Control = Control()
    outdoors: Outdoors = Outdoors()
