"""Oddities of what the control stores: questions without a choice, parts that nothing refers to."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.equipment.controls import Topic
from asleft.equipment.errors import Complaint, described
from asleft.equipment.model import Equipment, Heater
from asleft.equipment.nodes import Node

_MANY = ("room-sensor", "restart", "stage-delay", "other")
"""Roles by which nothing is judged, so that several topics may play them."""


def odd_controls(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    """Warn of topics, addresses and procedures, and of kits that no option switches on."""
    for number, topic in enumerate(equipment.topic):
        node = root.tables("topic")[number]
        yield from _topic(equipment, topic, node)
    yield from _idle_kits(equipment, root)
    yield from _unused(equipment, root)


def _topic(equipment: Equipment, topic: Topic, node: Node) -> Iterator[Complaint]:
    first = equipment.role(topic.role)
    if topic.role not in _MANY and first is not None and first.id != topic.id:
        yield Complaint(
            node.child("role").path,
            f"{described(topic.role)} a second time, while checks look at topic {described(first.id)} alone",
            'one topic of this role, or the role "other"',
        )
    if len(topic.option) == 1:
        yield Complaint(
            node.child("id").path,
            f"{described(topic.id)}, a question with one answer",
            "an option for every value that may be found on the control",
        )
    if topic.differential is not None and topic.role != "outdoor-lockout":
        yield Complaint(
            node.child("differential").path,
            f"{described(node.text('differential'))} on a topic of role {described(topic.role)}",
            'a differential with the role "outdoor-lockout" alone',
        )
    for kit in equipment.heater:
        ways = [way for way in _ways(equipment, kit) if not topic.options(way, kit.id)]
        if ways:
            where = ", ".join(way for way in ways if way is not None)
            yield Complaint(
                node.child("id").path,
                f"{described(topic.id)} without an option for kit {described(kit.id)}"
                + (f" in {where}" if where else ""),
                "an option of each topic for every kit and orientation that go together",
            )


def _ways(equipment: Equipment, kit: Heater) -> tuple[str | None, ...]:
    """The orientations in which the kit may stand."""
    ways = equipment.unit.orientations
    return tuple(way for way in ways if not kit.orientations or way in kit.orientations) if ways else (None,)


def _idle_kits(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    topic = equipment.role("auxiliary-heat")
    if topic is None:
        return
    for number, kit in enumerate(equipment.heater):
        stages = {stage.id for stage in kit.stage}
        offered = [option for way in _ways(equipment, kit) for option in topic.options(way, kit.id)]
        for option in dict.fromkeys(o.id for o in offered if not stages.issuperset(o.value or ())):
            yield Complaint(
                root.at(("heater", number, "id")).path,
                f"{described(kit.id)}, while option {described(option)} of topic {described(topic.id)}, "
                "on offer with it, means stages that the kit has not",
                "a when with the kits that the option's stages belong to",
            )
        if offered and not any(option.value and stages.issuperset(option.value) for option in offered):
            yield Complaint(
                root.at(("heater", number, "id")).path,
                f"{described(kit.id)}, which no option of topic {described(topic.id)} switches on",
                "an option that holds with the kit and means stages of it",
            )


def _unused(equipment: Equipment, root: Node) -> Iterator[Complaint]:
    lived_at = {address for setting in equipment.setting for address in setting.address}
    lived_at.update(code.text("confirm_at") or "" for code in root.tables("code"))
    for number, address in enumerate(equipment.address):
        if address.id not in lived_at:
            yield Complaint(
                root.at(("address", number, "id")).path,
                f"{described(address.id)}, at which no setting lives",
                "a setting that lives there, or no such address",
            )
    entries = {setting.entry for setting in equipment.setting}
    places = {address.id for address in equipment.address}
    for name in equipment.procedure:
        if name not in places and name not in entries:
            yield Complaint(
                ("procedure", name),
                f"{described(name)}, a way in which no setting is entered",
                "the way of entering of a setting, or the id of an address",
                at_key=True,
            )
