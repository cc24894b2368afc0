"""Whether an invented site is healthy: right settings exist, and with them nothing comes near a limit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.calc import pressure_ratio
from asleft.drill.inside import prove_heater_has_air, prove_inside
from asleft.drill.invented import Settings, Site
from asleft.drill.obstacle import NOISE, ROWS, WIDER, InTheWay, failed
from asleft.drill.told import told
from asleft.installation.behave import behave, option_in_force
from asleft.installation.estimate import estimate
from asleft.installation.fans import FanTable
from asleft.installation.forecast import ROLES, forecast
from asleft.installation.outlook import Forecast
from asleft.installation.reckoning import Reckoning
from asleft.installation.roles.blower_tier import lone_tier
from asleft.installation.roles.lost_communication import LOST_COMMUNICATION_SHARE
from asleft.quantity import parse

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Option, Topic, Use
    from asleft.installation.outlook import Outlook, TopicOutlook


ALIKE = "rows over a wider span of static, for all tiers and both uses alike"


def prove_healthy(tried: Site, equipment: Equipment, *, excused: frozenset[str] = frozenset()) -> None:
    """Prove that the same options come out best from the readings as found and as left, with room to spare.

    The checks ``excused`` need not pass.

    Raises InTheWay where they do not.
    """
    # What is quick to see comes first: most that is invented fails by it.
    _readable(tried, equipment, dict(tried.settings))
    first = _decided(tried, equipment)
    if first is None:
        raise InTheWay(ROWS, "no airflow as found can be read off a fan table", WIDER)
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
    prove_inside(tried, equipment, left)
    prove_heater_has_air(tried, equipment, left, excused)


def right_settings(place: Site, equipment: Equipment) -> tuple[dict[str, str], Settings]:
    """What a healthy site wants: the option of each topic that comes out best, and the settings so set."""
    found = _decided(place, equipment)
    best: dict[str, str] = {}
    left = dict(place.settings)
    for topic in equipment.topic:
        recommended = found.topics[topic.id].recommended if found else None
        if recommended is None:
            continue
        best[topic.id] = recommended
        for id, value in _option(place, topic, recommended, left).set.items():
            setting = equipment.setting_of(id)
            left |= {(id, address): value for address in (setting.address if setting else ())}
    return best, left


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
