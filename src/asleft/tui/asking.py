"""Asking the rig without holding up the screen: one question at a time, its answer comes as a message."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.message import Message
from textual.message_pump import MessagePump
from textual.widget import Widget

from asleft.drill.rig import Answer, Rig, RigError, ask
from asleft.session.acts import Act
from asleft.visit import View


class Answered(Message):
    """The rig has answered for an act; `held` where a trainee set and placed the instrument."""

    def __init__(self, act: Act, answer: Answer, *, held: bool) -> None:
        super().__init__()
        self.act, self.answer, self.held = act, answer, held


class Unanswered(Message):
    """The rig gave no answer that could be used, and why."""

    def __init__(self, act: Act, why: str) -> None:
        super().__init__()
        self.act, self.why = act, why


class Asking:
    """What is being asked of the rig, if there is one. Answers go to the widget it serves, as messages."""

    def __init__(self, rig: Rig | None, to: Widget) -> None:
        self._rig, self._to = rig, to
        self._asked: Act | None = None

    @property
    def there(self) -> bool:
        """Whether there is a rig to ask."""
        return self._rig is not None

    @property
    def waiting(self) -> bool:
        """Whether an answer is still owed."""
        return self._asked is not None

    def ask(self, view: View, act: Act, held: Mapping[str, str] | None = None, typed: str = "") -> None:
        """Ask for an act, in a thread. Only its answer is waited for from now on. `typed` is as in `ask`."""
        assert self._rig is not None
        self._asked = act
        rig = self._rig

        # The library writes out what it is to run: of a function its name, of a partial the whole view.
        def work() -> None:
            _ask(rig, view, act, self._to, lambda: self._asked == act, held, typed)

        self._to.run_worker(work, thread=True, group="rig", exit_on_error=True)

    def ends(self, act: Act) -> bool:
        """Whether this is the answer waited for, which ends the waiting."""
        if act != self._asked:
            return False
        self._asked = None
        return True

    def stop(self) -> None:
        """Wait no longer; what comes all the same is not taken."""
        self._asked = None
        stop = getattr(self._rig, "stop", None)
        if stop is not None:
            stop.set()


def _ask(
    rig: Rig,
    view: View,
    act: Act,
    to: MessagePump,
    wanted: Callable[[], bool],
    held: Mapping[str, str] | None,
    typed: str,
) -> None:
    if not wanted():
        return
    try:
        answer = ask(rig, view, act, held, typed)
    except RigError as error:
        to.post_message(Unanswered(act, str(error)))
        return
    to.post_message(Answered(act, answer, held=held is not None))
