"""A question as it is read out: what, why, where, in which state, what may be answered, what Enter takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import TYPE_CHECKING

from asleft.face.rows import AHEAD, TITLES, Row
from asleft.face.rows.choices import option_sentences, why_recommended
from asleft.face.rows.fields import WHEN
from asleft.session.acts import (
    Acknowledge,
    Choose,
    Look,
    Mend,
    ReadBack,
    Sign,
    SwitchPower,
    Waive,
    Write,
)
from asleft.session.timed import too_soon
from asleft.visit.entered import expected_of

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.session.acts import Act
    from asleft.visit import View

_YES_NO = (("yes", "no"), ("yes",))
_SAID_BY_THE_ANSWER = (Acknowledge, Look, Write, ReadBack)
"""Where the help of a row says no more than what is expected."""
_OWN_INSTRUMENT = "NAME | ACCURACY | YYYY-MM-DD for your own"


@dataclass(frozen=True, slots=True)
class Question:
    """One row asked on its pane. `choices` are what its keys pick; none where own words answer."""

    row: Row
    pane: str
    is_next: bool
    choices: tuple[str, ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        """The number or letter before each choice: letters where a choice itself begins with a digit."""
        if any(choice[:1].isdigit() for choice in self.choices):
            return tuple(_letters(n) for n in range(len(self.choices)))
        return tuple(str(n) for n in range(1, len(self.choices) + 1))

    def answer(self, typed: str) -> str:
        """What a typed answer means: a choice by its name, then by its key; anything else as it was typed."""
        folded = typed.casefold()
        for choice in self.choices:
            if choice.casefold() == folded:
                return choice
        return dict(zip(self.keys, self.choices, strict=True)).get(folded, typed)


def guarded(act: Act | None) -> bool:
    """Whether an act is never asked or taken without its caution and its safety points read out."""
    return isinstance(act, SwitchPower | Sign | Acknowledge | Write)


def _letters(n: int) -> str:
    """a to z, then aa, ab and so on."""
    return (_letters(n // 26 - 1) if n >= 26 else "") + ascii_lowercase[n % 26]


def question(
    view: View, row: Row, pane: str, instruments: Mapping[str, Instrument], *, is_next: bool
) -> Question:
    """A row made a question."""
    field = view.ledger.fields.get(row.field)
    choices = () if row.choices in _YES_NO else row.choices
    if field is not None and field.kind == "instrument":
        role = field.id.rpartition(".")[2]
        choices = tuple(i.id for i in instruments.values() if i.role == role)
    return Question(row, pane, is_next, choices)


def what(view: View, asked: Question) -> str:
    """What is asked, in a sentence."""
    return view.next.text if asked.is_next else f"{asked.row.label}."


def lines_of(
    view: View, asked: Question, instruments: Mapping[str, Instrument], system: str, *, caution: bool
) -> Iterator[tuple[str, str]]:
    """The question, a paragraph at a time, each with how far it stands in."""
    row, said = asked.row, {what(view, asked)}
    yield f"{TITLES[asked.pane]}. {what(view, asked)}", ""

    def once(text: str, word: str = "", indent: str = "") -> Iterator[tuple[str, str]]:
        if text and text not in said:
            said.add(text)
            yield f"{word}{text}", indent

    field = view.ledger.fields.get(row.field)
    when = WHEN.get(field.state.partition(".")[0], "") if field and field.state else ""
    if asked.is_next:
        yield from once(view.next.why, "Why: ")
    if row.verdict == "take again" and row.found and not asked.is_next:
        changed = "A setting or a repair changed it since it was last taken."
        yield too_soon(view.ledger, row.field) or changed, ""
    yield from once(when, "State of the unit: ")
    if caution:
        yield from once(row.caution, "Caution: ")
    if row.found or row.now:
        yield "; ".join(_stands(row)) + ".", ""
    if isinstance(row.act, Choose):
        yield from _options(view, asked, row.act.topic, system, said)
    else:
        for line in row.details:
            if not line.startswith("One of: "):
                yield from once(line)
        yield from _numbered(asked, {i.id: i.name for i in instruments.values()})
    if not isinstance(row.act, _SAID_BY_THE_ANSWER):
        yield from once(row.help)
    yield f"Answer: {expected(view, asked, system)}.", ""


def _stands(row: Row) -> Iterator[str]:
    if row.found:
        yield f"As found{' and as left' if row.found == row.now else ''}: {row.found}"
    if row.now.startswith(AHEAD):
        word = "chosen" if row.found else "Chosen"
        yield f"{word} and not set yet: {row.now.removeprefix(AHEAD)}"
    elif row.now and row.now != row.found:
        yield f"as left: {row.now}" if row.found else f"Now: {row.now}"


def _options(
    view: View, asked: Question, topic_id: str, system: str, said: set[str]
) -> Iterator[tuple[str, str]]:
    topic = view.equipment.topic_of(topic_id)
    if topic is None:
        return
    yield from _numbered(asked, option_sentences(view, topic, system))
    why = why_recommended(view, view.forecast.topics[topic.id])
    if why and why not in said:
        yield f"Recommended: {asked.row.prefill}. {why}" if asked.row.prefill else why, ""


def _numbered(asked: Question, more: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for key, choice in zip(asked.keys, asked.choices, strict=True):
        told = more.get(choice, "")
        yield f"{key}. {choice}" + (f": {told}" if told else ""), "  "


def expected(view: View, asked: Question, system: str) -> str:
    """What may be answered, in a few words."""
    row = asked.row
    field = view.ledger.fields.get(row.field)
    if asked.choices:
        kind = "letter" if asked.keys[0].isalpha() else "number"
        own = f", or {_OWN_INSTRUMENT}" if field and field.kind == "instrument" else ""
        return f"the {kind} or the name of one{own}"
    if row.choices == ("yes",):
        return "y when all of it is so"
    if row.choices == ("yes", "no"):
        return "y or n"
    if field is not None:
        return _OWN_INSTRUMENT if field.kind == "instrument" else expected_of(field, system)
    match row.act:
        case Look():
            return "what the control shows"
        case Write():
            return "what the control shows, once it is set"
        case ReadBack():
            return "what the control shows when it is asked again"
        case Mend():
            return "what was mended, as TEXT or PART: TEXT"
        case Waive():
            return "the reason"
        case _:
            return "a few words"
