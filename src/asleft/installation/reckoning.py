"""A forecast in the making: what the topics share, and what each may ask of the others."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

from asleft.calc import CalcError
from asleft.installation.operating import Predicted, predict
from asleft.installation.outlook import Outlook, TopicOutlook
from asleft.session.readings import known

if TYPE_CHECKING:
    from asleft.equipment.model import Option, Role, Tier, Topic
    from asleft.installation.estimate import Estimate
    from asleft.session.ledger import Ledger

Reckon: TypeAlias = "Callable[[Reckoning, Topic], TopicOutlook]"
"""The outlook of a topic that plays a role."""


class Reckoning:
    """One forecast; a topic or a tier that several others need is reckoned once."""

    def __init__(self, ledger: Ledger, estimate: Estimate, roles: Mapping[Role, Reckon]) -> None:
        self.ledger, self.estimate = ledger, estimate
        self.equipment = ledger.equipment
        design = known(ledger, "blower.design_airflow")
        self.design_m3s = design.value if design else None
        self._roles = roles
        self._topics: dict[str, TopicOutlook] = {}
        self._tiers: dict[str, Predicted] = {}

    def topic(self, topic: Topic) -> TopicOutlook:
        """One topic's outlook; nothing where what it hangs on is not known yet."""
        if topic.id not in self._topics:
            reckon = self._roles.get(topic.role, self._roles["other"])
            nothing = topic.depends and not self.ledger.options(topic)
            self._topics[topic.id] = finish(topic, (), None, "") if nothing else self._reckoned(topic, reckon)
        return self._topics[topic.id]

    def _reckoned(self, topic: Topic, reckon: Reckon) -> TopicOutlook:
        """What a role makes of a topic; why not, where the entries are beyond all measure."""
        try:
            return reckon(self, topic)
        except CalcError as error:
            return finish(topic, (), None, f"It cannot be worked out: {error}.")

    def role(self, role: Role) -> TopicOutlook | None:
        """The outlook of the topic that plays a role."""
        topic = self.equipment.role(role)
        return self.topic(topic) if topic else None

    def decided(self, role: Role) -> Option | None:
        """The option taken for a role, else the one recommended."""
        topic = self.equipment.role(role)
        if topic is None:
            return None
        chosen = self.ledger.chosen(topic)
        if chosen is not None:
            return chosen
        recommended = self.topic(topic).recommended
        return self.ledger.option(topic, recommended) if recommended else None

    def predicted(self, tier: Tier) -> Predicted:
        """Where a tier would run against these ducts."""
        if tier.id not in self._tiers:
            self._tiers[tier.id] = predict(self.ledger, self.estimate, tier)
        return self._tiers[tier.id]

    def outlooks(self, topic: Topic, make: Callable[[Option], Outlook]) -> tuple[Outlook, ...]:
        """An outlook of every option on offer here."""
        return tuple(make(option) for option in self.ledger.options(topic))

    def missing(self, *fields: str) -> tuple[str, ...]:
        """Which of these fields still have to be entered; those that do not apply are not asked for."""
        return tuple(f for f in fields if f in self.ledger.fields and self.ledger.current(f) is None)

    def writes(self, option: Option) -> int:
        """How many settings would have to be written for an option."""
        return sum(
            self.ledger.shown(id, address) != value
            for id, value in option.set.items()
            if (setting := self.equipment.setting_of(id)) is not None
            for address in setting.address
        )

    def yes_or_no(self, topic: Topic, outlooks: tuple[Outlook, ...], want: bool, why: str) -> TopicOutlook:
        """The outlook of a topic whose options mean yes and no."""
        pick = next((o for o in self.ledger.options(topic) if bool(o.value) == want), None)
        return finish(topic, outlooks, pick.id if pick else None, why)


def finish(
    topic: Topic,
    outlooks: tuple[Outlook, ...],
    pick: str | None,
    why: str,
    missing: tuple[str, ...] = (),
) -> TopicOutlook:
    """The outlook of a topic, the option picked marked among the others."""
    marked = tuple(replace(o, recommended=True) if o.option == pick else o for o in outlooks)
    return TopicOutlook(topic.id, topic.role, marked, pick, why, missing)
