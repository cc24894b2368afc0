"""Whether an invented site is healthy: right settings exist, and with them nothing comes near a limit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.calc import pressure_ratio
from asleft.drill.invented import Settings, Site
from asleft.drill.told import told
from asleft.installation.behave import Truth, behave, option_in_force
from asleft.installation.estimate import estimate
from asleft.installation.fans import FanTable
from asleft.installation.forecast import forecast, shortfall_w
from asleft.installation.line_fields import IDLE, LOADED
from asleft.installation.lines import PAIRS
from asleft.installation.roles.lost_communication import LOST_COMMUNICATION_SHARE
from asleft.quantity import parse

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Option, Supply, Topic, Use
    from asleft.installation.outlook import Forecast


NOISE = 0.03
"""What a static may be read off by, as a fraction: more than the limit of a good manometer."""


def healthy(tried: Site, equipment: Equipment) -> bool:
    """Whether the same options come out best from the readings as found and as left, with room to spare."""
    first = _decided(tried, equipment)
    if first is None or not _readable(tried, equipment, dict(tried.settings)):
        return False
    left = dict(tried.settings)
    wrong = 0
    for topic in equipment.topic:
        outlook = first.topics[topic.id]
        if outlook.recommended is None or not _clear(topic.role, outlook.recommended, first, tried):
            return False
        option = _option(tried, topic, outlook.recommended, left)
        for id, value in option.set.items():
            setting = equipment.setting_of(id)
            for address in setting.address if setting else ():
                wrong += left[id, address] != value
                left[id, address] = value
    second = _outlook(tried, equipment, left, {})
    if second is None or (wrong < 2 and len(equipment.setting) >= 2):
        return False
    same = all(second.topics[t.id].recommended == first.topics[t.id].recommended for t in equipment.topic)
    return (
        same
        and _on_table(tried, equipment, first)
        and _on_table(tried, equipment, second)
        and all(_clear(t.role, str(second.topics[t.id].recommended), second, tried) for t in equipment.topic)
        and _inside(tried, equipment, left)
    )


def _on_table(tried: Site, equipment: Equipment, outlook: Forecast) -> bool:
    """Whether the best tier works well between the ends of its fan tables, in heating too."""
    asked, topic = equipment.role("blower-tier"), outlook.role("blower-tier")
    found = topic.of(topic.recommended) if topic else None
    ways = (tried.installation.orientation, tried.installation.kit or "none")
    options = asked.options(*ways) if asked else ()
    tiers = [o.value for o in options if found is not None and o.id == found.option]
    tier = equipment.tier(tiers[0]) if tiers else None
    if found is None or tier is None:
        return True
    static = found.figures.get("static")
    ratio = pressure_ratio(tried.installation.altitude_m)
    uses: tuple[Use, ...] = ("cooling", "heating")
    rows = [[r for r in tier.at(use).rows if r.airflow_m3s is not None] for use in uses]
    low = max(row[0].static_pa for row in rows) * ratio
    high = min(row[-1].static_pa for row in rows) * ratio
    return static is not None and low * 1.1 < static.value < high * 0.92


def _readable(tried: Site, equipment: Equipment, settings: Settings) -> bool:
    """Whether the tier in force works so far inside its fan table that no honest reading falls outside."""
    option = option_in_force(
        equipment, "blower-tier", settings, tried.installation.orientation, tried.installation.kit
    )
    tier = (equipment.tier(str(option.value)) if option else None) or equipment.blower.tier[0]
    kit = equipment.kit(tried.installation.kit)
    ratio = pressure_ratio(tried.installation.altitude_m)
    table = FanTable.of(tier, "cooling", equipment.blower, kit, ratio)
    read = behave(tried.installation, equipment, settings, "blower")
    static = float(read["blower.static.supply"]) - float(read["blower.static.return"])
    low, high = table.static_pa[0] * table.ratio, table.static_pa[-1] * table.ratio
    return low * (1.0 + NOISE) < static < high * (1.0 - NOISE)


def _clear(role: str, option: str, outlook: Forecast, tried: Site) -> bool:
    """Whether a recommendation stands with room to spare, so that noise cannot tip it."""
    topic = outlook.role(role)
    found = topic.of(option) if topic else None
    if topic is None or found is None:
        return True
    if not all(j.passes for j in found.judged if j.check not in ("HS-4", "TD-5")):
        return False
    if role == "blower-tier":
        design = parse(tried.job["blower.design_airflow"], "airflow").value
        flows = {o.option: o.figures["airflow"].value for o in topic.outlooks if "airflow" in o.figures}
        mine = flows.get(option)
        if mine is None or abs(mine - design) > 0.08 * design:
            return False
        statics = [j for j in found.judged if j.check == "BL-5" and j.upper is not None]
        if any(j.figure.value > 0.95 * (j.upper or 0.0) for j in statics):
            return False
        # A measured rise gives the airflow in heating to some 4 %.
        least = [j for j in found.judged if j.check == "BL-11" and j.lower is not None]
        if any(j.figure.value < 1.06 * (j.lower or 0.0) for j in least):
            return False
        others = [abs(q - design) for o, q in flows.items() if o != option]
        return not others or min(others) > abs(mine - design) + 0.02 * design
    if role == "auxiliary-delay":
        droops = [
            j.figure.value / (j.upper or 1.0) for o in topic.outlooks for j in o.judged if j.check == "TD-2"
        ]
        return all(abs(d - 1.0) > 0.04 for d in droops)
    if role == "heat-on-lost-communication":
        shares = [j.figure.value for o in topic.outlooks for j in o.judged if j.check == "HS-4"]
        return all(abs(s - LOST_COMMUNICATION_SHARE) > 0.05 for s in shares)
    return True


def _inside(tried: Site, equipment: Equipment, left: Settings) -> bool:
    """Whether the true values as left lie well inside the limits that no forecast judges."""
    kit, supply, limits = equipment.kit(tried.installation.kit), _supply(tried, equipment), equipment.limits
    idle = behave(tried.installation, equipment, left, "idle")
    if not all(supply.lowest * 1.02 < v < supply.highest * 0.98 for v in _between_lines(idle)):
        return False
    if kit is None:
        return True
    loaded = behave(tried.installation, equipment, left, "heat.all")
    circuit = equipment.control_circuit
    if not all(supply.lowest * 1.02 < v < supply.highest * 0.98 for v in _between_lines(loaded)):
        return False
    if circuit is not None:
        for volts in (float(idle["electrical.control.idle"]), float(loaded["electrical.control.loaded"])):
            if not circuit.lowest + 1.0 < volts < circuit.highest - 1.0:
                return False
    last = len(kit.stage)
    heat = behave(tried.installation, equipment, left, f"heat.{last}")
    rise = float(heat[f"heat.stage.{last}.leaving_air"]) - float(heat[f"heat.stage.{last}.return_air"])
    low, high = limits.lowest_rise or 0.0, limits.highest_rise or 1e9
    volts = min(_between_lines(loaded))
    return low + 1.8 < rise < high - 1.8 and _covers(tried, equipment, kit, volts)


def _between_lines(read: Mapping[str, Truth]) -> list[float]:
    """Every line-to-line voltage among these values."""
    return [float(read[at + pair]) for at in (IDLE, LOADED) for pair in PAIRS if at + pair in read]


def _covers(tried: Site, equipment: Equipment, kit: Heater, volts: float) -> bool:
    """Whether the kit covers the shortfall at design with room to spare."""
    ledger = told(tried, equipment, dict(tried.settings), {})
    short = shortfall_w(ledger, estimate(ledger))
    return short is not None and kit.power * (volts / kit.voltage) ** 2 * 0.95 > short * 1.06


def _supply(tried: Site, equipment: Equipment) -> Supply:
    return equipment.supply_of(tried.job["identity.supply"]) or equipment.supply[0]


def _option(tried: Site, topic: Topic, id: str, settings: Settings) -> Option:
    """The option of this id that is on offer while other settings hold these values."""
    held = {setting: value for (setting, _), value in settings.items()}
    ways = (tried.installation.orientation, tried.installation.kit or "none")
    return next(o for o in topic.options(*ways, held.get) if o.id == id)


def _decided(tried: Site, equipment: Equipment) -> Forecast | None:
    """The outlook from the readings as found.

    Where what is on offer depends on other settings, topics are decided one after another, as a person does.
    """
    dependent = any(t.depends for t in equipment.topic)
    choices: dict[str, str] = {}
    for chosen in range(len(equipment.topic) + 1):
        found = _outlook(tried, equipment, dict(tried.settings), choices)
        best = {id: t.recommended for id, t in found.topics.items() if t.recommended} if found else {}
        if found is None or not dependent or best == choices:
            return found
        choices = dict(list(best.items())[: chosen + 1])
    return None


def _outlook(
    tried: Site, equipment: Equipment, settings: Settings, choices: Mapping[str, str]
) -> Forecast | None:
    ledger = told(tried, equipment, settings, choices)
    known = estimate(ledger)
    if known.airflow_m3s is None:
        return None
    return forecast(ledger, known)
