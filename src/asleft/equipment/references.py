"""What one part of an equipment file says of another: ids, settings, codes and procedures hang together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from asleft.equipment.codes import code_complaints
from asleft.equipment.errors import Complaint, described, nearest, printable
from asleft.equipment.figures import figure_complaints
from asleft.equipment.kits import kit_complaints
from asleft.equipment.model import Setting
from asleft.equipment.nodes import Node
from asleft.equipment.repeats import ids_twice, twice
from asleft.equipment.serials import serial_complaints
from asleft.equipment.topics import topic_complaints

ENTRIES: tuple[str, ...] = get_args(Setting.model_fields["entry"].annotation)
"""The ways in which a setting is entered."""


def reference_complaints(root: Node) -> Iterator[Complaint]:
    """Everything in the file that contradicts something else in it."""
    yield from _unique(root)
    yield from serial_complaints(root.child("unit"))
    yield from figure_complaints(root)
    yield from kit_complaints(root)
    yield from _settings(root)
    yield from _order(root)
    yield from _error_texts(root)
    yield from code_complaints(root)
    yield from topic_complaints(root)
    yield from _procedures(root)


def _unique(root: Node) -> Iterator[Complaint]:
    for section in ("supply", "heater", "address", "setting", "topic"):
        yield from ids_twice(root.tables(section))
    yield from ids_twice(root.child("blower").tables("tier"))
    yield from ids_twice(root.child("heat_pump").tables("pairing"))
    yield from twice(root.child("unit").texts("orientations"), "an orientation")
    numbers = (
        (address.child("number"), found)
        for address in root.tables("address")
        if (found := address.text("number")) is not None
    )
    yield from twice(numbers, "a number")
    for address in root.tables("address"):
        if address.text("id") in ENTRIES:
            yield Complaint(
                address.child("id").path,
                described(address.text("id")),
                "an id that is not also a way of entering a setting, since procedures are named by both",
            )


def _settings(root: Node) -> Iterator[Complaint]:
    addresses = root.ids("address")
    carried = {
        str(named.path[-1])
        for topic in root.tables("topic")
        for option in topic.tables("option")
        for named in option.child("set").items()
    }
    for setting in root.tables("setting"):
        for node, address in setting.texts("address"):
            if address not in addresses:
                yield Complaint(
                    node.path, described(address), f"the id of an address: {nearest(address, addresses)}"
                )
        yield from twice(setting.texts("address"), "an address")
        yield from twice(setting.texts("values"), "a value")
        values, factory = setting.names("values"), setting.text("factory")
        if factory is not None and values and factory not in values:
            yield Complaint(
                setting.child("factory").path,
                described(factory),
                f"one of its values: {nearest(factory, values)}",
            )
        name = setting.text("id")
        if name is not None and name not in carried:
            yield Complaint(
                setting.child("id").path,
                f"{described(name)}, which no option sets",
                "a topic with an option that sets it",
            )


def _order(root: Node) -> Iterator[Complaint]:
    known = root.ids("setting")
    waits: dict[str, set[str]] = {}
    places: dict[str, Node] = {}
    for setting in root.tables("setting"):
        name = setting.text("id")
        for node, other in setting.texts("after"):
            if other not in known:
                yield Complaint(node.path, described(other), f"the id of a setting: {nearest(other, known)}")
        yield from _resets(setting, known)
        if name is not None:
            waits.setdefault(name, set()).update(o for o in setting.names("after") if o in known)
            for other in setting.names("resets"):
                if other in known and other != name:
                    waits.setdefault(other, set()).add(name)
            places.setdefault(name, setting)
    for name in _in_a_circle(waits):
        key = "resets" if places[name].child("after").value is None else "after"
        yield Complaint(
            places[name].child(key).path,
            f"{described(name)}, which must follow itself",
            "an order in which every setting can be written",
        )


def _resets(setting: Node, known: list[str]) -> Iterator[Complaint]:
    name = setting.text("id")
    for node, other in setting.texts("resets"):
        if other not in known:
            yield Complaint(node.path, described(other), f"the id of a setting: {nearest(other, known)}")
        elif other == name:
            yield Complaint(node.path, f"{described(other)}, which would reset itself", "other settings")
    yield from twice(setting.texts("resets"), "a setting")


def _in_a_circle(waits: dict[str, set[str]]) -> list[str]:
    """The names that wait for one another, once all that can be written first or last is taken away."""
    while True:
        wanted = {other for others in waits.values() for other in others}
        kept = {
            name: others & waits.keys()
            for name, others in waits.items()
            if name in wanted and others & waits.keys()
        }
        if len(kept) == len(waits):
            return list(waits)
        waits = kept


def _error_texts(root: Node) -> Iterator[Complaint]:
    """An error text stands once, and could not be taken for a value."""
    errors = root.child("control").tables("error")
    found = [(error.child("shown"), shown) for error in errors if (shown := error.text("shown")) is not None]
    yield from twice(found, "an error text")
    values = {
        value: setting.text("id") for setting in root.tables("setting") for value in setting.names("values")
    }
    values.update({code.text("shown") or "": code.text("setting") for code in root.tables("code")})
    for node, shown in found:
        if shown in values:
            name = printable(values[shown] or "a setting")
            yield Complaint(
                node.path,
                f"{described(shown)}, which is also shown for a value of {name}",
                "a text that stands for no value",
            )


def _procedures(root: Node) -> Iterator[Complaint]:
    known = [*root.ids("address"), *ENTRIES]
    for procedure in root.child("procedure").items():
        name = str(procedure.path[-1])
        if name not in known:
            yield Complaint(
                procedure.path,
                described(name),
                f"the id of an address or a way of entering: {nearest(name, known)}",
                at_key=True,
            )
