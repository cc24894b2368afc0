"""What can have happened in a visit: one frozen class a kind of event, the six kinds of note apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Literal, final, get_args

from asleft.session.acts import Act, Enter, FindingName, ReviewOutcome, SwitchPower
from asleft.session.values import Value

PowerState = Literal["on", "off"]
POWER_STATES: tuple[PowerState, ...] = get_args(PowerState)
Outcome = Literal["commissioned", "not commissioned"]
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)


@final
@dataclass(frozen=True, slots=True)
class Entered:
    """A field was told: what was typed beside what it means.

    `read_at`: when it was read, where a file of readings or a rig brought that; UTC as `at` of an event.
    """

    kind: ClassVar[str] = "entered"
    field: str
    typed: str
    value: Value
    readings: tuple[float, ...] = ()
    plus_minus: float | None = None
    instrument: str = ""
    read_at: str = ""


@final
@dataclass(frozen=True, slots=True)
class Used:
    """An instrument was taken into use. No accuracy lines: unknown accuracy."""

    kind: ClassVar[str] = "used"
    field: str
    instrument: str
    name: str
    accuracy: tuple[str, ...]
    calibrated_until: str = ""

    @property
    def role(self) -> str:
        """What it is used as: meter, clamp, …"""
        return self.field.rpartition(".")[2]


@final
@dataclass(frozen=True, slots=True)
class Chose:
    """An option was taken."""

    kind: ClassVar[str] = "chose"
    topic: str
    option: str


@dataclass(frozen=True, slots=True)
class _Setting:
    setting: str
    address: str
    shown: str
    code: str = ""

    @property
    def place(self) -> str:
        """`SETTING@ADDRESS`."""
        return f"{self.setting}@{self.address}"


@final
@dataclass(frozen=True, slots=True)
class FoundSetting(_Setting):
    """A setting was looked at before anything was changed."""

    kind: ClassVar[Literal["found"]] = "found"


@final
@dataclass(frozen=True, slots=True)
class WroteSetting(_Setting):
    """A setting was written."""

    kind: ClassVar[Literal["wrote"]] = "wrote"


@final
@dataclass(frozen=True, slots=True)
class ReadSettingBack(_Setting):
    """A setting was looked at after it was written."""

    kind: ClassVar[Literal["read_back"]] = "read_back"


@final
@dataclass(frozen=True, slots=True)
class Powered:
    """Power was switched."""

    kind: ClassVar[str] = "powered"
    state: PowerState


@final
@dataclass(frozen=True, slots=True)
class Acknowledged:
    """What a check asks for was said to be so."""

    kind: ClassVar[str] = "acknowledged"
    id: str


@final
@dataclass(frozen=True, slots=True)
class Waived:
    """A failed finding was let stand."""

    kind: ClassVar[str] = "waived"
    finding: FindingName
    why: str


@final
@dataclass(frozen=True, slots=True)
class Noted:
    """Something was said, and no more than that."""

    kind: ClassVar[str] = "noted"
    text: str


@final
@dataclass(frozen=True, slots=True)
class Mended:
    """What a finding showed was repaired, and which part if that was named (parts.toml).

    `affects` is what the finding rests on, and has to be done again whatever the part.
    """

    kind: ClassVar[str] = "noted"
    text: str
    finding: FindingName
    affects: tuple[Act, ...] = ()
    part: str = ""

    @property
    def said(self) -> str:
        """`PART: TEXT`, as a person types it; the text alone where no part was named."""
        return f"{self.part}: {self.text}" if self.part else self.text


@final
@dataclass(frozen=True, slots=True)
class CouldNot:
    """A field could not be taken, power not switched, or what a finding is about not done."""

    kind: ClassVar[str] = "noted"
    text: str
    what: Enter | SwitchPower | FindingName


@final
@dataclass(frozen=True, slots=True)
class Broke:
    """Something was done that a hold forbids."""

    kind: ClassVar[str] = "noted"
    text: str
    hold: str


@final
@dataclass(frozen=True, slots=True)
class Reported:
    """In a drill: a kind of fault was reported, at a place if that was said, by the events that show it."""

    kind: ClassVar[str] = "noted"
    text: str
    fault: str
    place: str = ""
    evidence: tuple[int, ...] = ()

    @property
    def reports(self) -> str:
        """`KIND` or `KIND@PLACE`."""
        return f"{self.fault}@{self.place}" if self.place else self.fault


@final
@dataclass(frozen=True, slots=True)
class Hinted:
    """In a drill: a hint was read."""

    kind: ClassVar[str] = "noted"
    text: str
    n: int


@final
@dataclass(frozen=True, slots=True)
class Retracted:
    """An earlier event was taken back."""

    kind: ClassVar[str] = "retracted"
    of: int
    why: str


@final
@dataclass(frozen=True, slots=True)
class Resumed:
    """The session was opened again; `zone` is what the clock of that place was ahead of UTC, as +HH:MM.

    `damaged`: the record before it was damaged, so nobody knows whether power is on.
    """

    kind: ClassVar[str] = "resumed"
    zone: str = ""
    damaged: bool = False

    @property
    def ahead_s(self) -> int:
        """Seconds that the clock of that place was ahead of UTC; 0 where it was not recorded."""
        if not self.zone:
            return 0
        ahead_s = 3600 * int(self.zone[1:3]) + 60 * int(self.zone[4:6])
        return -ahead_s if self.zone.startswith("-") else ahead_s


@final
@dataclass(frozen=True, slots=True)
class Signed:
    """The record was signed."""

    kind: ClassVar[str] = "signed"
    outcome: Outcome


@final
@dataclass(frozen=True, slots=True)
class Sealed:
    """A key signed the link of an event."""

    kind: ClassVar[str] = "sealed"
    of: int
    signature: tuple[str, ...]


@final
@dataclass(frozen=True, slots=True)
class Reviewed:
    """A supervisor accepted the record or sent it back; `link` is that of the event that it was given on."""

    kind: ClassVar[str] = "reviewed"
    outcome: ReviewOutcome
    why: str
    link: str = ""


@final
@dataclass(frozen=True, slots=True)
class Drilled:
    """A drill began: the salted hash of its hidden sheet."""

    kind: ClassVar[str] = "drilled"
    hash: str
    level: int | None = None


@final
@dataclass(frozen=True, slots=True)
class Revealed:
    """A drill ended: its sheet and the salt; `hints` that its rig counted, where the session says fewer."""

    kind: ClassVar[str] = "revealed"
    sheet: tuple[str, ...]
    salt: str
    hints: int = 0


@final
@dataclass(frozen=True, slots=True)
class Senseless:
    """A stored value is nothing that its key could hold: the event is told by name, reckoned with nowhere."""

    kind: str
    keys: Mapping[str, Any]
    why: str


SettingDone = FoundSetting | WroteSetting | ReadSettingBack
NotedDone = Noted | Mended | CouldNot | Broke | Reported | Hinted
Payload = (
    Entered
    | Used
    | Chose
    | FoundSetting
    | WroteSetting
    | ReadSettingBack
    | Powered
    | Acknowledged
    | Waived
    | Noted
    | Mended
    | CouldNot
    | Broke
    | Reported
    | Hinted
    | Retracted
    | Resumed
    | Signed
    | Sealed
    | Reviewed
    | Drilled
    | Revealed
    | Senseless
)
"""Whatever happened in an event."""
