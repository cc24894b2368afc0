"""Everything that a person does in a visit: one frozen class an act, read from text once, at the edge.

An act is the left side of ``asleft enter FILE LEFT=RIGHT``: what is done, and to what. ``parse`` reads it and
``str`` writes it; the right side is read by whoever takes the act.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, final, get_args

ReviewOutcome = Literal["accepted", "sent back"]
REVIEWS: tuple[ReviewOutcome, ...] = get_args(ReviewOutcome)
"""What a supervisor says of a session."""

_FINDING = re.compile(r"[A-Z]+-[0-9]+(?:/.*)?", re.DOTALL)
_NUMBER = re.compile(r"[0-9]{1,9}")


class NotAnAct(ValueError):
    """A text that is no act: what was wrong, and what would be right."""

    def __init__(self, what: str, expected: str = "") -> None:
        self.what, self.expected = what, expected
        super().__init__(f"{what}; {expected}" if expected else what)


@final
@dataclass(frozen=True, slots=True)
class FindingName:
    """A finding by its check and subject; without a subject the first one of the check."""

    id: str
    subject: str = ""

    @property
    def key(self) -> str:
        """`ID SUBJECT`, as findings and the session file have it."""
        return f"{self.id} {self.subject}"

    @classmethod
    def of_key(cls, key: str) -> FindingName:
        """The finding of an `ID SUBJECT`."""
        id, _, subject = key.partition(" ")
        return cls(id, subject)

    @classmethod
    def parse(cls, text: str) -> FindingName:
        """The finding of an `ID/SUBJECT`."""
        id, _, subject = text.partition("/")
        return cls(id, subject)

    def __str__(self) -> str:
        """`ID/SUBJECT`, as a person types it."""
        return f"{self.id}/{self.subject}" if self.subject else self.id


@dataclass(frozen=True, slots=True)
class _OfSetting:
    """Something done to a setting at an address; no address where the setting has only one."""

    setting: str
    address: str = ""

    @property
    def place(self) -> str:
        """`SETTING@ADDRESS`."""
        return f"{self.setting}@{self.address}" if self.address else self.setting


@final
@dataclass(frozen=True, slots=True)
class Enter:
    """Tell the wizard a field."""

    field: str

    def __str__(self) -> str:
        return self.field


@final
@dataclass(frozen=True, slots=True)
class Choose:
    """Take an option of a topic."""

    topic: str

    def __str__(self) -> str:
        return f"choose:{self.topic}"


@final
@dataclass(frozen=True, slots=True)
class Look(_OfSetting):
    """See what a setting holds, as found."""

    def __str__(self) -> str:
        return f"found:{self.place}"


@final
@dataclass(frozen=True, slots=True)
class Write(_OfSetting):
    """Give a setting a value."""

    def __str__(self) -> str:
        return f"wrote:{self.place}"


@final
@dataclass(frozen=True, slots=True)
class ReadBack(_OfSetting):
    """See what a setting holds after it was written."""

    def __str__(self) -> str:
        return f"read_back:{self.place}"


@final
@dataclass(frozen=True, slots=True)
class SwitchPower:
    """Switch power at the unit."""

    def __str__(self) -> str:
        return "power"


@final
@dataclass(frozen=True, slots=True)
class Acknowledge:
    """Say that all that a check asks for is so."""

    id: str

    def __str__(self) -> str:
        return f"acknowledge:{self.id}"


@final
@dataclass(frozen=True, slots=True)
class Waive:
    """Let a failed finding stand, with a reason."""

    finding: FindingName

    def __str__(self) -> str:
        return f"waive:{self.finding}"


@final
@dataclass(frozen=True, slots=True)
class Mend:
    """Repair what a finding shows."""

    finding: FindingName

    def __str__(self) -> str:
        return f"mended:{self.finding}"


@final
@dataclass(frozen=True, slots=True)
class Note:
    """Say something to the next person."""

    def __str__(self) -> str:
        return "note"


@final
@dataclass(frozen=True, slots=True)
class Retract:
    """Take an event back."""

    n: int

    def __str__(self) -> str:
        return f"retract:{self.n}"


@final
@dataclass(frozen=True, slots=True)
class Sign:
    """Sign the record with its outcome."""

    def __str__(self) -> str:
        return "sign"


@final
@dataclass(frozen=True, slots=True)
class Seal:
    """Have a key sign what is recorded."""

    def __str__(self) -> str:
        return "seal"


@final
@dataclass(frozen=True, slots=True)
class Review:
    """Accept the record as another person, or send it back."""

    outcome: ReviewOutcome

    def __str__(self) -> str:
        return f"review:{self.outcome.replace(' ', '-')}"


@final
@dataclass(frozen=True, slots=True)
class Break:
    """Say that something was done which a hold forbids."""

    hold: str

    def __str__(self) -> str:
        return f"broke:{self.hold}"


@final
@dataclass(frozen=True, slots=True)
class Report:
    """In a drill: report a fault with its evidence."""

    def __str__(self) -> str:
        return "report"


@final
@dataclass(frozen=True, slots=True)
class Hint:
    """In a drill: ask for a hint, by its number."""

    n: int

    def __str__(self) -> str:
        return f"hint:{self.n}"


@final
@dataclass(frozen=True, slots=True)
class Finish:
    """In a drill: end it."""

    def __str__(self) -> str:
        return "finish"


Refusable = Enter | Look | Write | ReadBack | SwitchPower | Mend
"""What may turn out not to be possible."""


@final
@dataclass(frozen=True, slots=True)
class Cannot:
    """Say that something cannot be done, with a reason."""

    act: Refusable

    def __str__(self) -> str:
        return f"cannot:{self.act.finding if isinstance(self.act, Mend) else self.act}"


Act = (
    Enter
    | Choose
    | Look
    | Write
    | ReadBack
    | SwitchPower
    | Acknowledge
    | Waive
    | Mend
    | Cannot
    | Note
    | Retract
    | Sign
    | Seal
    | Review
    | Break
    | Report
    | Hint
    | Finish
)
"""Any of them."""

ACTS: tuple[type[Act], ...] = get_args(Act)

FORMS = (
    "FIELD",
    "choose:TOPIC",
    "found:SETTING@ADDRESS",
    "wrote:SETTING@ADDRESS",
    "read_back:SETTING@ADDRESS",
    "power",
    "acknowledge:ID",
    "mended:ID/SUBJECT",
    "cannot:LEFT",
    "waive:ID/SUBJECT",
    "broke:ID",
    "note",
    "retract:N",
    "sign",
    "seal",
    "report",
    "hint:N",
    "finish",
    "review:OUTCOME",
)
"""How each act is written, for a person who has it wrong."""


@lru_cache(maxsize=4096)
def entry_of(field: str) -> Enter:
    """The act of entering a field, made once: thousands of findings name it."""
    return Enter(field)


def parse(text: str) -> Act:
    """The act that a left side says. Raises NotAnAct.

    >>> parse("wrote:row-gap@unit")
    Write(setting='row-gap', address='unit')
    >>> str(parse("cannot:EL-23/stage.1"))
    'cannot:EL-23/stage.1'
    """
    head, colon, rest = text.strip().partition(":")
    return _about(head, rest) if colon else _plain(head)


def _plain(word: str) -> Act:
    """An act that names nothing but itself, or a field."""
    match word:
        case "power":
            return SwitchPower()
        case "note":
            return Note()
        case "sign":
            return Sign()
        case "seal":
            return Seal()
        case "report":
            return Report()
        case "finish":
            return Finish()
        case _:
            return Enter(word)


def _about(head: str, rest: str) -> Act:
    """An act that names what it is done to."""
    match head:
        case "choose":
            return Choose(rest)
        case "found":
            return Look(*_place(rest))
        case "wrote":
            return Write(*_place(rest))
        case "read_back":
            return ReadBack(*_place(rest))
        case "acknowledge":
            return Acknowledge(rest)
        case "waive":
            return Waive(FindingName.parse(rest))
        case "mended":
            return Mend(FindingName.parse(rest))
        case "cannot":
            return Cannot(_refusable(rest))
        case "retract":
            return Retract(_number(rest, "event", "retract:N, with the number of an event"))
        case "review":
            return Review(_review(rest))
        case "broke":
            return Break(rest)
        case "hint":
            return Hint(_number(rest, "hint", "hint:N"))
        case _:
            raise NotAnAct(f"{head!r} is not an act", "acts: " + ", ".join(FORMS))


def _place(text: str) -> tuple[str, str]:
    setting, _, address = text.partition("@")
    return setting, address


def _number(text: str, what: str, right: str) -> int:
    if not _NUMBER.fullmatch(text):
        raise NotAnAct(f"there is no {what} {text!r}", right)
    return int(text)


def _refusable(text: str) -> Refusable:
    if _FINDING.fullmatch(text):
        return Mend(FindingName.parse(text))
    act = parse(text)
    if isinstance(act, Refusable):
        return act
    raise NotAnAct(
        f"{text!r} is nothing that can be noted as one that cannot be done",
        "a field, power, SETTING@ADDRESS behind found:, wrote: or read_back:, or a finding as ID/SUBJECT",
    )


def _review(text: str) -> ReviewOutcome:
    typed = text.strip().casefold().replace("-", " ")
    meant = [outcome for outcome in REVIEWS if typed and outcome.startswith(typed)]
    if len(meant) != 1:
        raise NotAnAct(f"{text!r} is no outcome of a review", "review:accepted or review:sent-back")
    return meant[0]
