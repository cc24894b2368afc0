"""Whether an invented site is healthy: right settings exist, and with them nothing comes near a limit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.calc import Measured, heater_power, pressure_ratio
from asleft.checks.currents import STAGE_HIGH, STAGE_LOW
from asleft.drill.invented import Settings, Site
from asleft.drill.obstacle import ROWS, InTheWay, failed
from asleft.drill.told import told
from asleft.installation.behave import Truth, behave, option_in_force
from asleft.installation.estimate import estimate
from asleft.installation.fans import FanTable
from asleft.installation.forecast import OVERSIZE, ROLES, forecast, shortfall_w
from asleft.installation.line_fields import IDLE, LOADED
from asleft.installation.lines import PAIRS, blower_in_line
from asleft.installation.operating import heating_at_final_drop, heating_in_zone
from asleft.installation.outlook import Forecast
from asleft.installation.reckoning import Reckoning
from asleft.installation.roles.blower_tier import lone_tier
from asleft.installation.roles.lost_communication import LOST_COMMUNICATION_SHARE
from asleft.quantity import parse
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Heater, Option, Supply, Topic, Use
    from asleft.installation.outlook import Outlook, TopicOutlook


SPARE = 1.02
"""How much more air than its least the kit of a healthy site has at worst."""
WIDER = "rows over a wider span of static"
ALIKE = "rows over a wider span of static, for all tiers and both uses alike"
NOISE = 0.03
"""What a static may be read off by, as a fraction: more than the limit of a good manometer."""


def prove_healthy(tried: Site, equipment: Equipment, *, excused: frozenset[str] = frozenset()) -> None:
    """Prove that the same options come out best from the readings as found and as left, with room to spare.

    The checks ``excused`` need not pass.

    Raises InTheWay where they do not.
    """
    first = _decided(tried, equipment)
    if first is None:
        raise InTheWay(ROWS, "no airflow as found can be read off a fan table", WIDER)
    _readable(tried, equipment, dict(tried.settings))
    left = dict(tried.settings)
    wrong = 0
    for topic in equipment.topic:
        outlook = first.topics[topic.id]
        if outlook.recommended is None:
            raise InTheWay(
                "topic.option",
                f"no option of topic {topic.id} comes out best",
                "an option that fits each orientation and kit",
            )
        _clear(topic.role, outlook.recommended, first, tried, excused)
        option = _option(tried, topic, outlook.recommended, left)
        for id, value in option.set.items():
            setting = equipment.setting_of(id)
            for address in setting.address if setting else ():
                wrong += left[id, address] != value
                left[id, address] = value
    lone = first.topics.get("")
    if lone is not None:
        _clear(lone.role, str(lone.recommended), first, tried, excused)
    second = _outlook(tried, equipment, left, {})
    if second is None:
        raise InTheWay(ROWS, "no airflow can be read off the fan table of the tier that fits", WIDER)
    if wrong < 2 and len(equipment.setting) >= 2:
        raise InTheWay(
            "setting.factory",
            "nothing is left to set right",
            "a factory value other than what most houses need",
        )
    if any(second.topics[t.id].recommended != first.topics[t.id].recommended for t in equipment.topic):
        raise InTheWay(
            "topic.option",
            "another option comes out best once the first is set",
            "options that lie further apart",
        )
    _on_table(tried, equipment, first)
    _on_table(tried, equipment, second)
    _readable(tried, equipment, left)
    for topic in equipment.topic:
        _clear(topic.role, str(second.topics[topic.id].recommended), second, tried, excused)
    _inside(tried, equipment, left)
    _heater_always_has_air(tried, equipment, left, excused)


def _on_table(tried: Site, equipment: Equipment, outlook: Forecast) -> None:
    """Prove that the best tier works well between the ends of its fan tables, in heating too.

    Well is a tenth of the static at the low end, 8 % at the high one; on a narrow table, a quarter of it.
    """
    asked, topic = equipment.role("blower-tier"), outlook.role("blower-tier")
    found = topic.of(topic.recommended) if topic else None
    ways = (tried.installation.orientation, tried.installation.kit or "none")
    options = asked.options(*ways) if asked else ()
    tiers = [o.value for o in options if found is not None and o.id == found.option]
    tier = equipment.tier(tiers[0]) if tiers else None
    if found is None or tier is None:
        return
    static = found.figures.get("static")
    ratio = pressure_ratio(tried.installation.altitude_m)
    uses: tuple[Use, ...] = ("cooling", "heating")
    kit = equipment.kit(tried.installation.kit)
    tables = [FanTable.of(tier, use, equipment.blower, kit, ratio) for use in uses]
    low = max(table.static_pa[0] * table.ratio for table in tables)
    high = min(table.static_pa[-1] * table.ratio for table in tables)
    quarter = (high - low) / 4.0
    if static is None or not low + min(0.1 * low, quarter) < static.value < high - min(0.08 * high, quarter):
        raise InTheWay(ROWS, "the tier that fits works near the ends of its fan tables or beyond", ALIKE)


def _readable(tried: Site, equipment: Equipment, settings: Settings) -> None:
    """Prove that the tier in force works so far inside its fan table that no honest reading falls outside."""
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
    least, most = low * (1.0 + NOISE), high * (1.0 - NOISE)
    if least >= most:
        raise InTheWay(
            ROWS,
            "the statics of a fan table lie too near together to be told apart",
            "rows whose statics differ by more than a tenth",
        )
    if not least < static < most:
        raise InTheWay(ROWS, "the tier in force works at the end of its fan table or beyond", ALIKE)


def _clear(role: str, option: str, outlook: Forecast, tried: Site, excused: frozenset[str]) -> None:
    """Prove that a recommendation stands with room to spare, so that noise cannot tip it."""
    topic = outlook.role(role)
    found = topic.of(option) if topic else None
    if topic is None or found is None:
        return
    for judged in found.judged:
        if not judged.passes and judged.check not in excused | {"HS-4", "TD-5"}:
            raise failed(judged.check)
    if role == "blower-tier":
        _clear_tier(topic, found, parse(tried.job["blower.design_airflow"], "airflow").value)
        if tried.installation.kit and "heating_airflow" not in found.figures:
            raise InTheWay(
                ROWS,
                "the tier that fits runs off its fan table in heating",
                "tables for cooling and heating that share most of their statics",
            )
    if role == "auxiliary-delay":
        droops = [
            j.figure.value / (j.upper or 1.0) for o in topic.outlooks for j in o.judged if j.check == "TD-2"
        ]
        if any(abs(d - 1.0) <= 0.04 for d in droops):
            raise InTheWay(
                "topic.option.value",
                "a delay lies at the edge of what the house allows",
                "options whose delays lie further apart",
            )
    if role == "heat-on-lost-communication":
        shares = [j.figure.value for o in topic.outlooks for j in o.judged if j.check == "HS-4"]
        if any(abs(s - LOST_COMMUNICATION_SHARE) <= 0.05 for s in shares):
            raise InTheWay(
                "heater.power",
                "a kit alone gives about as much heat as decides the matter",
                "kits whose powers lie further apart",
            )


def _clear_tier(topic: TopicOutlook, found: Outlook, design_m3s: float) -> None:
    flows = {o.option: o.figures["airflow"].value for o in topic.outlooks if "airflow" in o.figures}
    mine = flows.get(found.option)
    if mine is None or abs(mine - design_m3s) > 0.08 * design_m3s:
        raise failed("BL-7")
    statics = [j for j in found.judged if j.check == "BL-5" and j.upper is not None]
    if any(j.figure.value > 0.95 * (j.upper or 0.0) for j in statics):
        raise failed("BL-5")
    # A measured rise gives the airflow in heating to some 4 %.
    least = [j for j in found.judged if j.check == "BL-11" and j.lower is not None]
    if any(j.figure.value < 1.06 * (j.lower or 0.0) for j in least):
        raise failed("BL-11")
    # Tiers that move just the same are one choice: noise moves them together.
    others = [abs(q - design_m3s) for q in flows.values() if q != mine]
    if others and min(others) <= abs(mine - design_m3s) + 0.02 * design_m3s:
        raise InTheWay(
            ROWS, "two tiers move about the same air", "rows of tiers that differ by a few percent of airflow"
        )


def _inside(tried: Site, equipment: Equipment, left: Settings) -> None:
    """Prove that the true values as left lie well inside the limits that no forecast judges."""
    kit, supply, limits = equipment.kit(tried.installation.kit), _supply(tried, equipment), equipment.limits
    idle = behave(tried.installation, equipment, left, "idle")
    loaded = behave(tried.installation, equipment, left, "heat.all") if kit else {}
    if not all(supply.lowest * 1.02 < v < supply.highest * 0.98 for v in _between_lines({**idle, **loaded})):
        raise InTheWay(
            "supply.lowest or supply.highest",
            "a good supply comes too near it",
            "a range from at least 5 % below to at least 5 % above supply.nominal",
        )
    if kit is None:
        return
    circuit = equipment.control_circuit
    if circuit is not None:
        for volts in (float(idle["electrical.control.idle"]), float(loaded["electrical.control.loaded"])):
            if not circuit.lowest + 1.0 < volts < circuit.highest - 1.0:
                raise InTheWay(
                    "control_circuit.lowest or control_circuit.highest",
                    "it leaves too little room",
                    "a range that holds the nominal voltage less and plus a tenth",
                )
    _stages_draw(tried, equipment, kit, left)
    last = len(kit.stage)
    heat = behave(tried.installation, equipment, left, f"heat.{last}")
    rise = float(heat[f"heat.stage.{last}.leaving_air"]) - float(heat[f"heat.stage.{last}.return_air"])
    if not (limits.lowest_rise or 0.0) + 1.8 < rise < (limits.highest_rise or 1e9) - 1.8:
        raise InTheWay(
            "limits.lowest_rise or limits.highest_rise",
            "the kit warms the air to near it or beyond",
            "a range well around the rise that the kit gives to the airflow of the fan tables",
        )
    if not _covers(tried, equipment, kit, min(_between_lines(loaded))):
        raise InTheWay(
            "heater.power",
            "the kit does not cover what the heat pump leaves open, or is far too large for it",
            "a kit whose power and voltage go with the supplies",
        )


def _stages_draw(tried: Site, equipment: Equipment, kit: Heater, left: Settings) -> None:
    """Prove that each stage is seen to draw what it is rated for, once what shares its line is taken off.

    A blower's current is out of step with the elements', so less is added to theirs than is taken off.
    """
    if kit.phases != 1:
        return
    running = behave(tried.installation, equipment, left, "blower").get("electrical.blower.current", 0.0)
    before = {c.stages: float(running) * blower_in_line(equipment.blower, kit, c) for c in kit.circuit}
    for n, stage in enumerate(kit.stage, 1):
        read = behave(tried.installation, equipment, left, f"heat.{n}")
        for circuit in (c for c in kit.circuit if stage.id in c.stages):
            amps = float(read[f"electrical.stage.{n}.current"])
            volts = float(read[f"electrical.stage.{n}.voltage"])
            rated_a = heater_power(stage.power, kit.voltage, volts, kit.phases).current_a
            if not STAGE_LOW * 1.02 < (amps - before[circuit.stages]) / rated_a < STAGE_HIGH * 0.98:
                raise InTheWay(
                    "heater.stage.power",
                    "the current of a blower on the same circuit hides that of so small a stage",
                    "a larger stage, or a smaller blower.full_load_current",
                )
            before[circuit.stages] = amps


def _between_lines(read: Mapping[str, Truth]) -> list[float]:
    """Every line-to-line voltage among these values."""
    return [float(read[at + pair]) for at in (IDLE, LOADED) for pair in PAIRS if at + pair in read]


def _covers(tried: Site, equipment: Equipment, kit: Heater, volts: float) -> bool:
    """Whether the kit covers the shortfall at design, and is not far too large, with room to spare."""
    ledger = told(tried, equipment, dict(tried.settings), {})
    short = shortfall_w(ledger, estimate(ledger))
    given = kit.power * (volts / kit.voltage) ** 2
    return short is not None and short * 1.06 < given * 0.95 and given < OVERSIZE * short * 0.97


def _heater_always_has_air(
    tried: Site, equipment: Equipment, left: Settings, excused: frozenset[str]
) -> None:
    """Prove that the kit has air to spare behind a loaded filter, and in the smallest zone.

    Where nothing says which tier runs, neither can be foretold, and the visit says so.
    """
    kit = equipment.kit(tried.installation.kit)
    least = kit.least(tried.installation.orientation) if kit else None
    if kit is None or least is None:
        return
    ledger = told(tried, equipment, left, {})
    e = estimate(ledger)
    tier = equipment.tier(e.tier)
    if tier is None:
        return
    now, final = known(ledger, "blower.static.filter"), known(ledger, "blower.filter.final_drop")
    if now is None or final is None:
        raise InTheWay(ROWS, "no airflow behind a loaded filter can be foretold", WIDER)
    flows = (
        [] if "BL-17" in excused else [heating_at_final_drop(ledger, e, tier, now.measured, final.measured)]
    )
    sides = [known(ledger, f"blower.zone.{side}") for side in ("supply", "return")]
    zone_pa = sum(abs(k.value) for k in sides if k is not None)
    if zone_pa > 0.0:
        # A reading may be off by this much, and still has to lie on the table.
        flows += [
            heating_in_zone(ledger, e, Measured(zone_pa * off, 0.0)) for off in (1.0 - NOISE, 1.0 + NOISE)
        ]
    known_flows = [q.value * e.pressure_ratio for q in flows if q is not None]
    if len(known_flows) < len(flows):
        raise InTheWay(ROWS, "a loaded filter or a closed zone takes the kit off the fan table", WIDER)
    if min(known_flows, default=math.inf) <= least * SPARE:
        raise failed("BL-11")


def _supply(tried: Site, equipment: Equipment) -> Supply:
    return equipment.supply_of(tried.job["identity.supply"]) or equipment.supply[0]


def _option(tried: Site, topic: Topic, id: str, settings: Settings) -> Option:
    """The option of this id that is on offer while other settings hold these values."""
    held = {setting: value for (setting, _), value in settings.items()}
    ways = (tried.installation.orientation, tried.installation.kit or "none")
    return next(o for o in topic.options(*ways, held.get) if o.id == id)


def _decided(tried: Site, equipment: Equipment) -> Forecast | None:
    """The outlook from the readings as found; None where they lie off the fan table.

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
    # Where nothing says which of several tiers runs, no table can be read, and nothing rests on one.
    if known.airflow_m3s is None and known.tier is not None:
        return None
    found, tier = forecast(ledger, known), equipment.tier(known.tier)
    if equipment.role("blower-tier") is not None or tier is None:
        return found
    return Forecast({**found.topics, "": lone_tier(Reckoning(ledger, known, ROLES), tier)})
