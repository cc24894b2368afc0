"""What the papers of an invented duct system say, typed with its unit, and which filter stands in it."""

from __future__ import annotations

import math
from random import Random

from asleft.quantity import from_unit, show

FACE_VELOCITY = from_unit(300.0, "velocity", "ft/min")
HEIGHTS_MM, HEIGHTS_IN = (400.0, 500.0, 600.0), (16.0, 20.0, 25.0)


def duct_papers(
    random: Random, *, design_m3s: float, static_pa: float, filter_pa: float, highest_ms: float, metric: bool
) -> dict[str, str]:
    """Papers of ducts that were designed for about the static they ask, and built so.

    `filter_pa` is the drop of the clean filter at the design airflow, `highest_ms` its highest velocity.
    """
    units = "si" if metric else "ip"
    designed_pa = static_pa * random.uniform(0.95, 1.05)
    lost_pa = designed_pa * random.uniform(0.3, 0.45)
    rate = from_unit(random.uniform(0.08, 0.14), "friction_rate", "in. w.c. per 100 ft")
    unit = "mm" if metric else "in"
    step = 10.0 if metric else 1.0
    height = random.choice(HEIGHTS_MM if metric else HEIGHTS_IN)
    area_m2 = design_m3s / (highest_ms * random.uniform(0.65, 0.8))
    width_m = area_m2 / from_unit(height, "length", unit)
    width = math.ceil(width_m / from_unit(step, "length", unit)) * step
    found = {
        "blower.ducts.new": random.choice(("yes", "no", "no")),
        "blower.ducts.design": random.choice(("yes", "yes", "no")),
        "blower.filter.width": f"{width:g} {unit}",
        "blower.filter.height": f"{height:g} {unit}",
        "blower.filter.final_drop": show(filter_pa * random.uniform(1.8, 2.4), "static_pressure", units),
    }
    if found["blower.ducts.design"] == "yes":
        found |= {
            "blower.ducts.static": show(designed_pa, "static_pressure", units),
            "blower.ducts.losses": show(lost_pa, "static_pressure", units),
            "blower.ducts.effective_length": show((designed_pa - lost_pa) / rate, "length", units),
        }
    return found
