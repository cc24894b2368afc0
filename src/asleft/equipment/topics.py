"""Topics: every option can be set, means something that exists, and can be told from the others."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from asleft.equipment.errors import Complaint, described, nearest, printable
from asleft.equipment.nodes import Node


class _Option(NamedTuple):
    node: Node
    id: str | None
    orientations: frozenset[str]
    kits: frozenset[str]
    settings: dict[str, frozenset[str]]
    set: dict[str, str]

    def meets(self, other: _Option) -> bool:
        """Whether both could be on offer at once."""
        return (
            _overlap(self.orientations, other.orientations)
            and _overlap(self.kits, other.kits)
            and all(
                _overlap(values, other.settings.get(name, frozenset()))
                for name, values in self.settings.items()
            )
        )

    def tells(self, other: _Option) -> bool:
        """Whether some setting shows which of the two is in force."""
        return any(other.set.get(name, value) != value for name, value in self.set.items())


def _overlap(one: frozenset[str], other: frozenset[str]) -> bool:
    return not one or not other or not one.isdisjoint(other)


def topic_complaints(root: Node) -> Iterator[Complaint]:
    """Complain of options that cannot be set, mean nothing, or cannot be told apart."""
    settings = {name: s for s in root.tables("setting") if (name := s.text("id")) is not None}
    orientations = root.child("unit").names("orientations")
    kits = {name: kit for kit in root.tables("heater") if (name := kit.text("id")) is not None}
    tiers = root.child("blower").ids("tier")
    decided: dict[str, Node] = {}
    for topic in root.tables("topic"):
        yield from _one_question(topic, decided)
        for option in topic.tables("option"):
            yield from _set(option, settings)
            yield from _depends(option, settings, topic, decided)
            yield from _when(option, "orientation", orientations, "an orientation of the unit")
            yield from _when(option, "kit", list(kits), "the id of a heater kit")
            if topic.text("role") == "blower-tier":
                yield from _tier(option, tiers)
            if topic.text("role") == "auxiliary-heat":
                yield from _stages(option, kits)
        options = [_option(option) for option in topic.tables("option")]
        yield from _alike([option for option in options if _settable(option, settings)])


def _option(node: Node) -> _Option:
    when = node.child("when")
    carried = {str(n.path[-1]): n.value for n in node.child("set").items() if isinstance(n.value, str)}
    held = when.child("setting")
    return _Option(
        node,
        node.text("id"),
        frozenset(when.names("orientation")),
        frozenset(when.names("kit")),
        {name: frozenset(held.names(name)) for n in held.items() if (name := str(n.path[-1]))},
        carried,
    )


def _settable(option: _Option, settings: dict[str, Node]) -> bool:
    """Whether all that it sets exists; what does not is complained of where it stands, once."""
    return bool(option.set) and all(
        name in settings and value in settings[name].names("values") for name, value in option.set.items()
    )


def _set(option: Node, settings: dict[str, Node]) -> Iterator[Complaint]:
    for named in option.child("set").items():
        name = str(named.path[-1])
        if name not in settings:
            expected = f"the id of a setting: {nearest(name, settings)}"
            yield Complaint(named.path, described(name), expected, at_key=True)
            continue
        values = settings[name].names("values")
        if isinstance(named.value, str) and values and named.value not in values:
            yield Complaint(
                named.path,
                described(named.value),
                f"a value of {printable(name)}: {nearest(named.value, values)}",
            )


def _one_question(topic: Node, decided: dict[str, Node]) -> Iterator[Complaint]:
    """A setting answers one question, or two choices could ask two values of it."""
    for option in topic.tables("option"):
        for named in option.child("set").items():
            name = str(named.path[-1])
            owner = decided.setdefault(name, topic)
            if owner.path != topic.path:
                yield Complaint(
                    named.path,
                    f"{described(name)}, which topic {described(owner.text('id'))} sets already",
                    "a setting that one topic alone sets; options of others may depend on it by when.setting",
                    at_key=True,
                )


def _depends(
    option: Node, settings: dict[str, Node], topic: Node, decided: dict[str, Node]
) -> Iterator[Complaint]:
    """What an option depends on is a setting that an earlier topic, or none, decides."""
    held = option.child("when").child("setting")
    for named in held.items():
        name = str(named.path[-1])
        if name not in settings:
            expected = f"the id of a setting: {nearest(name, settings)}"
            yield Complaint(named.path, described(name), expected, at_key=True)
            continue
        if name not in decided or decided[name].path == topic.path:
            yield Complaint(
                named.path,
                f"{described(name)}, which no earlier topic sets",
                "a setting that a topic further up in the file sets",
                at_key=True,
            )
        values = settings[name].names("values")
        for node, value in held.texts(name):
            if values and value not in values:
                expected = f"a value of {printable(name)}: {nearest(value, values)}"
                yield Complaint(node.path, described(value), expected)


def _when(option: Node, key: str, known: list[str], what: str) -> Iterator[Complaint]:
    for node, name in option.child("when").texts(key):
        if name not in known:
            yield Complaint(node.path, described(name), f"{what}: {nearest(name, known)}")


def _tier(option: Node, tiers: list[str]) -> Iterator[Complaint]:
    tier = option.text("value")
    if tier is not None and tier not in tiers:
        path = option.child("value").path
        yield Complaint(path, described(tier), f"the id of a blower tier: {nearest(tier, tiers)}")


def _stages(option: Node, kits: dict[str, Node]) -> Iterator[Complaint]:
    """Stages must exist in every kit that the option names; naming none, in one kit at least."""
    named = [kit for kit in option.child("when").names("kit") if kit in kits]
    if not isinstance(option.child("value").value, list):
        return
    for node, stage in option.texts("value"):
        without = [kit for kit in named or kits if stage not in kits[kit].ids("stage")]
        if without and (named or len(without) == len(kits)):
            stages = kits[without[0]].ids("stage")
            yield Complaint(
                node.path,
                described(stage),
                f"the id of a stage of kit {printable(without[0])}: {nearest(stage, stages)}",
            )
        elif not kits:
            yield Complaint(node.path, described(stage), "no stage, since the file has no heater kit")


def _alike(options: list[_Option]) -> Iterator[Complaint]:
    for index, option in enumerate(options):
        for earlier in options[:index]:
            if not option.meets(earlier):
                continue
            if option.id is not None and option.id == earlier.id:
                yield Complaint(
                    option.node.child("id").path,
                    f"{described(option.id)} a second time for the same orientation and kit",
                    "one option of this id wherever it holds",
                )
                break
            if not option.tells(earlier):
                yield Complaint(
                    option.node.child("set").path,
                    f"settings that cannot tell {described(option.id)} from {described(earlier.id)}",
                    "a setting whose value differs between the two",
                )
                break
