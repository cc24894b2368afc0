"""Conductors and devices by the trade's tables, typed from them a second time: the oracle shares no code."""

from __future__ import annotations

_COPPER = {
    "14": (15, 20, 25),
    "12": (20, 25, 30),
    "10": (30, 35, 40),
    "8": (40, 50, 55),
    "6": (55, 65, 75),
    "4": (70, 85, 95),
    "3": (85, 100, 115),
    "2": (95, 115, 130),
    "1": (110, 130, 145),
    "1/0": (125, 150, 170),
    "2/0": (145, 175, 195),
    "3/0": (165, 200, 225),
    "4/0": (195, 230, 260),
}
_ALUMINIUM = {
    "12": (15, 20, 25),
    "10": (25, 30, 35),
    "8": (35, 40, 45),
    "6": (40, 50, 55),
    "4": (55, 65, 75),
    "3": (65, 75, 85),
    "2": (75, 90, 100),
    "1": (85, 100, 115),
    "1/0": (100, 120, 135),
    "2/0": (115, 135, 150),
    "3/0": (130, 155, 175),
    "4/0": (150, 180, 205),
}
_COLUMN = {60: 0, 75: 1, 90: 2}
_AMBIENT = (
    (10, (1.29, 1.20, 1.15)),
    (15, (1.22, 1.15, 1.12)),
    (20, (1.15, 1.11, 1.08)),
    (25, (1.08, 1.05, 1.04)),
    (30, (1.0, 1.0, 1.0)),
    (35, (0.91, 0.94, 0.96)),
    (40, (0.82, 0.88, 0.91)),
    (45, (0.71, 0.82, 0.87)),
    (50, (0.58, 0.75, 0.82)),
    (55, (0.41, 0.67, 0.76)),
    (60, (0.0, 0.58, 0.71)),
    (65, (0.0, 0.47, 0.65)),
    (70, (0.0, 0.33, 0.58)),
)
_BUNDLED = ((3, 1.0), (6, 0.8), (9, 0.7), (20, 0.5), (30, 0.45), (40, 0.4))
_STANDARD = (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300)
_CAPPED = {("copper", "14"): 15, ("copper", "12"): 20, ("copper", "10"): 30}
_CAPPED |= {("aluminium", "12"): 15, ("aluminium", "10"): 25}


def ampacity(
    size: str, material: str, terminals: int, insulation: int, ambient_c: float, count: int
) -> float:
    """What a conductor carries: derated from its insulation, capped at its terminals. 0 where untabled."""
    row = (_COPPER if material == "copper" else _ALUMINIUM).get(size.removesuffix(" AWG"))
    factors = next((f for top, f in _AMBIENT if ambient_c <= top + 1e-9), None)
    if row is None or factors is None:
        return 0.0
    bundled = next((f for most, f in _BUNDLED if count <= most), 0.35)
    column = _COLUMN[insulation]
    return min(row[column] * factors[column] * bundled, row[_COLUMN[terminals]])


def largest_device(size: str, material: str, amps: float) -> float:
    """The largest device that may protect a conductor: the next standard size up, small sizes capped."""
    up = next((s for s in _STANDARD if s >= amps - 1e-9), 10_000)
    return min(up, _CAPPED.get((material, size.removesuffix(" AWG")), up))
