"""Faults of a branch circuit as it was built: its device and its conductor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.calc import CalcError, conductor_ampacity, heater_current, largest_device
from asleft.installation.faults.kind import CannotBe, Change, Kind, each_circuit, kit_of, step
from asleft.tables import conductor, conductors, device_sizes, iec_capacities, iec_device_sizes

if TYPE_CHECKING:
    from asleft.equipment.model import Circuit, Equipment
    from asleft.installation.unit import Branch, Installation

NEC_PART = 1.25
STEPS = 3
"""A device or a conductor is wrong by at most so many standard sizes."""


def _built(installation: Installation, equipment: Equipment, where: str) -> tuple[Branch, Circuit]:
    return installation.branches[int(where) - 1], kit_of(installation, equipment).circuit[int(where) - 1]


def _local_rules(branch: Branch) -> bool:
    return branch.capacity_a is not None


def _needed_a(installation: Installation, equipment: Equipment, where: str) -> float:
    """The least device that the circuit's load allows."""
    kit, (branch, circuit) = kit_of(installation, equipment), _built(installation, equipment, where)
    power = sum(s.power for s in kit.stage if s.id in circuit.stages)
    blower_a = (equipment.blower.full_load_current or 0.0) if circuit.feeds_blower else 0.0
    load_a = heater_current(power, kit.voltage, kit.phases) + blower_a
    return load_a if _local_rules(branch) else circuit.minimum or NEC_PART * load_a


def _smaller(installation: Installation, equipment: Equipment, where: str) -> tuple[float, ...]:
    branch, _ = _built(installation, equipment, where)
    sizes = iec_device_sizes() if _local_rules(branch) else device_sizes()
    needed_a = _needed_a(installation, equipment, where)
    return tuple(sorted((s for s in sizes if s < min(needed_a, branch.device_a)), reverse=True))[:STEPS]


def _protects_a(branch: Branch, circuit: Circuit) -> float:
    """The largest device that the circuit may have."""
    if circuit.maximum is not None:
        return circuit.maximum
    if branch.capacity_a is not None:
        return branch.capacity_a
    try:
        ampacity_a = conductor_ampacity(
            branch.conductor,
            branch.material,
            float(circuit.terminals),
            float(branch.insulation_c),
            branch.ambient_c,
            branch.conductors,
        )
        return largest_device(branch.conductor, ampacity_a, branch.material)
    except CalcError:
        return branch.device_a


def _larger(installation: Installation, equipment: Equipment, where: str) -> tuple[float, ...]:
    branch, circuit = _built(installation, equipment, where)
    sizes = iec_device_sizes() if _local_rules(branch) else device_sizes()
    highest_a = max(branch.device_a, _protects_a(branch, circuit))
    return tuple(s for s in sizes if s > highest_a)[:STEPS]


def _thinner(installation: Installation, equipment: Equipment, where: str) -> tuple[str, ...]:
    branch, _ = _built(installation, equipment, where)
    if _local_rules(branch):
        sizes = tuple(iec_capacities(kit_of(installation, equipment).phases))
    else:
        sizes = tuple(s for s, c in conductors(branch.material).items() if c.ampacity_a)
    if branch.conductor not in sizes:
        return ()
    return sizes[: sizes.index(branch.conductor)][::-1][:STEPS]


def _small_places(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    found = tuple(c for c in each_circuit(installation, equipment) if _smaller(installation, equipment, c))
    if not found:
        raise CannotBe("there is no smaller device than these circuits need")
    return found


def _large_places(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    found = tuple(c for c in each_circuit(installation, equipment) if _larger(installation, equipment, c))
    if not found:
        raise CannotBe("there is no larger device than these circuits may have")
    return found


def _thin_places(installation: Installation, equipment: Equipment) -> tuple[str, ...]:
    found = tuple(c for c in each_circuit(installation, equipment) if _thinner(installation, equipment, c))
    if not found:
        raise CannotBe("there is no thinner conductor than these circuits have")
    return found


def _small(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    sizes = _smaller(installation, equipment, where)
    return Change({("branches", int(where) - 1, "device_a"): sizes[step(size, len(sizes))]}, (("kit",),))


def _large(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    sizes = _larger(installation, equipment, where)
    return Change({("branches", int(where) - 1, "device_a"): sizes[step(size, len(sizes))]}, (("kit",),))


def _thin(installation: Installation, equipment: Equipment, size: float, where: str) -> Change:
    """A thinner conductor drops more, and carries less."""
    branch, _ = _built(installation, equipment, where)
    sizes, n = _thinner(installation, equipment, where), int(where) - 1
    thin = sizes[step(size, len(sizes))]
    more = conductor(thin, branch.material).ohm_per_m / conductor(branch.conductor, branch.material).ohm_per_m
    put: dict[tuple[object, ...], object] = {
        ("branches", n, "conductor"): thin,
        ("branches", n, "loop_ohm"): branch.loop_ohm * more,
    }
    if _local_rules(branch):
        put["branches", n, "capacity_a"] = iec_capacities(kit_of(installation, equipment).phases)[thin]
    return Change(put, (("kit",),))


KINDS = (
    Kind(
        "device-too-small",
        "Breaker or fuse too small",
        "circuit.{}",
        "up to three sizes",
        _small_places,
        _small,
    ),
    Kind(
        "device-too-large",
        "Breaker or fuse too large",
        "circuit.{}",
        "up to three sizes",
        _large_places,
        _large,
    ),
    Kind(
        "conductor-too-small", "Conductor too small", "circuit.{}", "up to three sizes", _thin_places, _thin
    ),
)
