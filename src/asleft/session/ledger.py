"""As found, as left, stale, in force: derived from the order of events, never typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from asleft.quantity import show
from asleft.session.acts import Enter, FindingName, SwitchPower, entry_of
from asleft.session.changes import Changes
from asleft.session.doubts import Disturbed, Doubts, NoValue, no_value
from asleft.session.fields import Field, Situation, applicable
from asleft.session.payloads import CouldNot, Mended
from asleft.session.state import Entry, SettingAct, State
from asleft.session.timed import LEAST_APART_S, Series, apart_s, series_of
from asleft.session.values import YesNo

if TYPE_CHECKING:
    from asleft.equipment.controls import Held
    from asleft.equipment.model import Equipment, Heater, Option, Pairing, Supply, Topic
    from asleft.session.readings import Known


@dataclass(frozen=True)
class Ledger:
    """A session read against its equipment file.

    `unsafe`: the fields of an unsafe end are drawn. `system`: the units in which a person reads it, ip or si.
    """

    equipment: Equipment
    state: State
    unsafe: bool = False
    system: str = "ip"

    def show(self, value: float, kind: str, *, digits: int | None = None) -> str:
        """A quantity in the person's units."""
        return show(value, kind, self.system, digits=digits)

    @cached_property
    def situation(self) -> Situation:
        """What decides which fields apply."""
        text = self.state.text
        return Situation(
            orientation=text("identity.orientation"),
            kit=text("identity.kit"),
            supply=text("identity.supply"),
            outdoor=text("identity.outdoor"),
            code=text("identity.code"),
            unsafe=self.unsafe,
            yes=frozenset(id for id, e in self.state.entries.items() if e and e[-1].value is YesNo.YES),
        )

    @cached_property
    def fields(self) -> Mapping[str, Field]:
        """The fields that apply, by id, in ledger order."""
        return applicable(self.equipment, self.situation)

    @cached_property
    def kit(self) -> Heater | None:
        """The kit fitted, None where none is fitted or nobody has said."""
        return self.equipment.kit(self.situation.kit)

    @cached_property
    def kit_known(self) -> bool:
        """Whether somebody said which kit is fitted, or the unit takes none."""
        return not self.equipment.heater or self.situation.kit is not None

    @cached_property
    def supply(self) -> Supply | None:
        """The supply declared; the only one where the file lists one."""
        only = self.equipment.supply[0] if len(self.equipment.supply) == 1 else None
        return self.equipment.supply_of(self.situation.supply) or only

    @cached_property
    def pairing(self) -> Pairing | None:
        """The outdoor unit connected."""
        return self.equipment.pairing(self.situation.outdoor)

    @cached_property
    def numbers(self) -> dict[str, Known | None]:
        """The numbers that `readings.known` has read so far."""
        return {}

    # ---- topics and settings

    @cached_property
    def acts(self) -> tuple[SettingAct, ...]:
        """What was found, written and read back; a coded setting's display becomes its value."""
        value_of = self.equipment.value_of
        return tuple(
            a if (value := value_of(a.setting, a.shown)) == a.shown else replace(a, shown=value)
            for a in self.state.acts
        )

    def acts_on(self, setting: str, address: str, kind: str = "") -> tuple[SettingAct, ...]:
        """What happened to one setting at one address, oldest first; of one kind where it is named."""
        return self._acts_by_place.get((setting, address, kind), ())

    @cached_property
    def _acts_by_place(self) -> dict[tuple[str, str, str], tuple[SettingAct, ...]]:
        places: dict[tuple[str, str, str], list[SettingAct]] = {}
        for act in self.acts:
            for kind in ("", act.kind):
                places.setdefault((act.setting, act.address, kind), []).append(act)
        return {place: tuple(acts) for place, acts in places.items()}

    @cached_property
    def wrote(self) -> tuple[int, ...]:
        """Numbers of the events in which any setting was written, ascending."""
        return tuple(act.n for act in self._written)

    @cached_property
    def _written(self) -> tuple[SettingAct, ...]:
        return tuple(act for act in self.state.acts if act.kind == "wrote")

    def shown(self, setting: str, address: str, before: int | None = None) -> str | None:
        """The value a setting was last seen to hold: found, wrote or read back; or last before an event."""
        acts = self.acts_on(setting, address)
        if before is not None:
            acts = tuple(a for a in acts if a.n < before)
        return acts[-1].shown if acts else None

    @cached_property
    def doubts(self) -> Doubts:
        """What writes may have done to other settings."""
        return Doubts(self.equipment, self.acts, self.cycled, self.out_of_sight)

    def disturbed(self, setting: str, address: str) -> Disturbed | None:
        """The newest write that may have moved a setting without being about it."""
        return self.doubts.disturbed.get((setting, address))

    def unsure(self, setting: str, address: str) -> bool:
        """Whether such a write came after a setting was last looked at: nobody knows what it holds.

        One written after it counts as written until it is read back, while power is cycled for both. After a
        damaged record, and after a repair of the control, nobody knows any of them.
        """
        moved, acts = self.disturbed(setting, address), self.acts_on(setting, address)
        if acts and acts[-1].n < self.out_of_sight:
            return True
        if moved is None or not acts:
            return False
        return acts[-1].n < (moved.by.n if acts[-1].kind == "wrote" else moved.n)

    @cached_property
    def out_of_sight(self) -> int:
        """The newest event after which no setting is surely as last seen: damage, a control mended."""
        return max(self.state.damaged_at, self._made.control_mended)

    def held(self, setting: str, address: str) -> str | None:
        """What a setting is to be taken to hold: as last seen, or its factory value where it was reset."""
        reset = self.doubts.put_back.get((setting, address))
        return reset[1] if reset else self.shown(setting, address)

    def no_value(self, setting: str, shown: str) -> NoValue | None:
        """What is shown, where it is no value of the setting."""
        return no_value(self.equipment, setting, shown)

    def options(self, topic: Topic) -> tuple[Option, ...]:
        """The options on offer here, in file order: orientation, kit and other settings considered."""
        if topic.id not in self._options:
            self._options[topic.id] = self.offered(topic, self._to_hold)
        return self._options[topic.id]

    def offered(self, topic: Topic, held: Held) -> tuple[Option, ...]:
        """The options on offer here while other settings hold what `held` tells."""
        return topic.options(self.situation.orientation, self.situation.kit, held)

    def _to_hold(self, setting: str) -> str | None:
        """What a setting is to hold by the choices taken, else what it was last seen to hold."""
        if setting not in self._meant:
            self._meant[setting] = self._found_to_hold(setting)
        return self._meant[setting]

    @cached_property
    def _meant(self) -> dict[str, str | None]:
        """What `_to_hold` has found so far."""
        return {}

    def _found_to_hold(self, setting: str) -> str | None:
        for topic in self.equipment.topic:
            option = self.chosen(topic) if topic.sets(setting) else None
            if option is not None and setting in option.set:
                return option.set[setting]
        return self.holds(setting)

    def holds(self, setting: str, before: int | None = None) -> str | None:
        """What a setting was last seen to hold, wherever it lives; None where that is not one value."""
        found = self.equipment.setting_of(setting)
        shown = {self.shown(setting, address, before) for address in found.address} if found else set()
        return shown.pop() if len(shown) == 1 else None

    @cached_property
    def _options(self) -> dict[str, tuple[Option, ...]]:
        """What `options` has found so far."""
        return {}

    def option(self, topic: Topic, id: str) -> Option | None:
        """One option on offer here."""
        return next((o for o in self.options(topic) if o.id == id), None)

    def chosen(self, topic: Topic) -> Option | None:
        """The option taken, if it is still on offer."""
        if topic.id not in self._chosen:
            choice = self.state.choices.get(topic.id)
            self._chosen[topic.id] = self.option(topic, choice.option) if choice else None
        return self._chosen[topic.id]

    @cached_property
    def _chosen(self) -> dict[str, Option | None]:
        """What `chosen` has found so far."""
        return {}

    def in_force(self, topic: Topic, before: int | None = None) -> Option | None:
        """The option whose settings the control last showed; None where unknown or not on offer.

        `before`: as it stood before that event.
        """
        if before is None:
            if topic.id not in self._in_force:
                self._in_force[topic.id] = self._found_in_force(topic, None)
            return self._in_force[topic.id]
        return self._found_in_force(topic, before)

    @cached_property
    def _in_force(self) -> dict[str, Option | None]:
        """What `in_force` has found so far."""
        return {}

    def surely_in_force(self, topic: Topic) -> Option | None:
        """The option in force; None also while a later write may have moved a setting that carries it."""
        option = self.in_force(topic)
        carrying = (self.equipment.setting_of(id) for id in (option.set if option else ()))
        unsure = any(self.unsure(s.id, address) for s in carrying if s for address in s.address)
        return None if unsure else option

    def _found_in_force(self, topic: Topic, before: int | None) -> Option | None:
        for option in self.offered(topic, lambda id: self.holds(id, before)):
            if all(
                (setting := self.equipment.setting_of(id)) is not None
                and all(self.shown(id, address, before) == value for address in setting.address)
                for id, value in option.set.items()
            ):
                return option
        return None

    def found_option(self, topic: Topic) -> Option | None:
        """The option as found: what the control showed before the first write that affects the topic.

        None where that is not known or not on offer. Of a topic of which nothing was written, what was found.
        """
        settings = {id for option in topic.option for id in option.set}
        return self.in_force(topic, next((a.n for a in self._written if a.setting in settings), None))

    def left_option(self, topic: Topic) -> Option | None:
        """The option as left: the one in force, once anything stands as left or a choice keeps it."""
        option, chosen = self.in_force(topic), self.chosen(topic)
        kept = option is not None and chosen is not None and option.id == chosen.id
        return option if kept or self.leaves else None

    def found_at(self, setting: str, address: str) -> SettingAct | None:
        """What was last found of a setting before anything was written; else what was found first."""
        found = self.acts_on(setting, address, "found")
        before = [a for a in found if not self.wrote or a.n < self.wrote[0]]
        return before[-1] if before else found[0] if found else None

    def left_at(self, setting: str, address: str) -> str | None:
        """What a setting was last seen to hold, once anything stands as left; None while that is unsure."""
        return self.shown(setting, address) if self.leaves and not self.unsure(setting, address) else None

    def role_in_force(self, role: str) -> Option | None:
        """The option in force for the topic that plays this role."""
        topic = self.equipment.role(role)
        return self.in_force(topic) if topic else None

    def role_chosen(self, role: str) -> Option | None:
        """The option taken for the topic that plays this role."""
        topic = self.equipment.role(role)
        return self.chosen(topic) if topic else None

    def planned(self) -> dict[tuple[str, str], str]:
        """Value meant for each setting at each address: from the choices taken, else as found.

        As found is meant where nothing was chosen and another setting's write, or a repair, cleared it.
        """
        meant: dict[tuple[str, str], str] = {}
        for topic in self.equipment.topic:
            option = self.chosen(topic)
            for id, value in (option.set if option else {}).items():
                setting = self.equipment.setting_of(id)
                for address in setting.address if setting else ():
                    meant[id, address] = value
        return {**self._to_restore, **meant}

    @cached_property
    def _to_restore(self) -> dict[tuple[str, str], str]:
        """What was found where another setting's write, or a repair of the control, cleared it."""
        found: dict[tuple[str, str], str] = {}
        places = ((setting.id, address) for setting, address in self.equipment.places())
        for place in places if self.out_of_sight else self.doubts.disturbed:
            held = self.found_at(*place)
            if held is None or self.no_value(place[0], held.shown) is not None:
                continue
            if self.doubts.cleared(place, held):
                found[place] = held.shown
        return found

    # ---- readings and time

    @property
    def mends(self) -> tuple[tuple[int, Mended], ...]:
        """What was repaired, each with the number of its event."""
        return self.state.mends

    @property
    def could_not(self) -> tuple[tuple[int, CouldNot], ...]:
        """What was noted as not possible, each with the number of its event."""
        return self.state.could_not

    @cached_property
    def _made(self) -> Changes:
        return Changes(self.equipment, self.state, self.fields, self.mends)

    def changes(self, field_id: str) -> tuple[int, ...]:
        """Numbers of the events that change what a field would read, ascending."""
        return self._made.of(field_id)

    def mended(self, field_id: str) -> tuple[int, ...]:
        """Numbers of the notes of mending that change what a field would read."""
        return self._made.mended(field_id)

    def cycled(self, n: int) -> int | None:
        """The event by which power was off and on again after an event; None where it was not."""
        return self._made.cycled(n)

    @cached_property
    def changed(self) -> bool:
        """Whether anything of the unit was changed in this visit: a setting written or a repair noted."""
        return bool(self.wrote) or bool(self.mends)

    @property
    def leaves(self) -> bool:
        """Whether anything stands as left yet: something was changed, or the record is signed as found."""
        return self.changed or self.state.signature is not None

    def as_found(self, field_id: str) -> Entry | None:
        """The last entry before the first change of the field; where nothing changed it, the last of all.

        None for what the sign-off asks: that tells only how the unit is left. What is proved for a while is
        neither found nor left, and stands here: while power is off what still counts, then the last of all.
        """
        if _of_leaving(field_id):
            return None
        if self._passing(field_id):
            return self.current(field_id) if self.state.power == "off" else self.state.latest(field_id)
        entries = self.state.entries.get(field_id, ())
        changes = self.changes(field_id)
        before = [e for e in entries if not changes or e.n < changes[0]]
        return before[-1] if before else None

    def as_left(self, field_id: str) -> Entry | None:
        """The newest entry that is not stale, once anything stands as left.

        Until then every entry is as found only: a reading, and just so a fact of papers, of a plate, or an
        answer, since the column that fills is the one that typing goes to. From the first change on, what no
        change affected is both. Another instrument, or a later state that makes an entry be asked again,
        parts the two columns of its own field, so that the newer entry is seen. What the sign-off asks is as
        left at once.
        """
        if self._passing(field_id):
            return None
        shows = self.leaves or _of_leaving(field_id) or self.changes(field_id)
        return self.current(field_id) if shows else None

    def current(self, field_id: str) -> Entry | None:
        """The newest entry that is not stale."""
        try:
            return self._current[field_id]
        except KeyError:
            entry = self.state.latest(field_id)
            current = self._current[field_id] = entry if entry and not self._is_stale(entry) else None
            return current

    @cached_property
    def _current(self) -> dict[str, Entry | None]:
        """What `current` has found so far."""
        return {}

    def stale(self, field_id: str) -> bool:
        """Whether it was entered but is to be taken again: something changed it, or it was read too soon.

        What is proved for a while only is over then, not stale.
        """
        if self._passing(field_id):
            return False
        return self.current(field_id) is None and self.state.latest(field_id) is not None

    def _passing(self, field_id: str) -> bool:
        field = self.fields.get(field_id)
        return field is not None and field.passing

    def _is_stale(self, entry: Entry) -> bool:
        changes = self.changes(entry.field)
        return (bool(changes) and entry.n < changes[-1]) or self.too_soon_s(entry.field) > 0.0

    def too_soon_s(self, field_id: str) -> float:
        """Seconds by which the last reading of a timed series came too soon after the first; else 0."""
        if field_id != self.series.last:
            return 0.0
        first, last = self.current(self.series.first), self.state.latest(field_id)
        return max(0.0, LEAST_APART_S - apart_s(first, last)) if first and last else 0.0

    @cached_property
    def series(self) -> Series:
        """The readings that are taken at a time."""
        return series_of(self.fields.values())

    def refused(self, field_id: str) -> bool:
        """Whether somebody noted that this field cannot be taken, and nothing was entered since."""
        noted = self._refusals.get(entry_of(field_id)) if self._refusals else None
        entry = self.state.latest(field_id)
        return noted is not None and (entry is None or noted > entry.n)

    @cached_property
    def _refusals(self) -> dict[Enter | SwitchPower | FindingName, int]:
        """The last note that a thing cannot be had, by the thing."""
        return {note.what: n for n, note in self.could_not}

    @cached_property
    def power_refused(self) -> bool:
        """Whether somebody noted that power cannot be switched, and it was not switched since."""
        last = self.state.powered[-1].n if self.state.powered else 0
        return self._refusals.get(SwitchPower(), 0) > last

    @property
    def power_just_refused(self) -> bool:
        """Whether the newest event is the note that power cannot be switched."""
        return self._refusals.get(SwitchPower(), 0) == self.state.last_n > 0


def _of_leaving(field_id: str) -> bool:
    """Whether a field is asked by the sign-off: how the unit is left, and who was told."""
    return field_id.startswith("signoff.")
