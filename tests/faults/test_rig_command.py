"""A rig that is another program: nonsense, silence, death and a wait that is stopped."""

from __future__ import annotations

import shlex
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from asleft.drill.rig import Command, RigError

VOLTS = {"do": "read", "field": "electrical.line.l1_l2", "kind": "voltage", "instrument": "meter"}
LOOK = {"do": "look", "setting": "P1", "address": "system"}
POWER = {"do": "power", "state": "off"}


@contextmanager
def rig(program: str, *, first_answer_s: float = 20.0, answer_s: float = 20.0) -> Iterator[Command]:
    """A rig that is a few lines of Python."""
    line = f"{shlex.quote(sys.executable)} -Suc {shlex.quote(program)}"
    command = Command(line, first_answer_s=first_answer_s, answer_s=answer_s)
    try:
        yield command
    finally:
        command.close()


def saying(*lines: str) -> str:
    """A program that gives these answers in order, one a request."""
    return f"import sys\nfor line in {list(lines)!r}:\n    sys.stdin.readline(); print(line, flush=True)"


def test_a_reading_comes_back_as_typed() -> None:
    """The answer of a well-behaved program is taken as it is, blanks at its ends aside."""
    with rig(saying('{"typed": " 238.2 V "}', '{"refused": "no hand free"}')) as found:
        assert found.ask(VOLTS) == {"typed": "238.2 V"}
        assert found.ask(VOLTS) == {"refused": "no hand free"}


def test_a_long_question_is_read_whole_and_answered_once() -> None:
    """At the end of a drill it holds the session: more than a pipe takes at a time."""
    program = (
        "import sys, json\nfor line in sys.stdin:\n"
        "    print(json.dumps({'refused': str(len(json.loads(line)['session']))}), flush=True)"
    )
    with rig(program) as found:
        for size in (10, 400_000, 20):
            assert found.ask({"do": "reveal", "session": "x" * size}) == {"refused": str(size)}


def test_a_program_that_does_not_read_a_long_question_is_given_up() -> None:
    """In its time, and closed without waiting for it."""
    began = time.monotonic()
    with rig("import time\ntime.sleep(600)", first_answer_s=0.3) as found:
        for said in ("did not read its question within 0.3 s", "reads no more"):
            with pytest.raises(RigError, match=said):
                found.ask({"do": "reveal", "session": "x" * 4_000_000})
    assert time.monotonic() - began < 15


def test_a_reading_may_bring_the_seconds_since_all_heat_was_called() -> None:
    """By the program's own clock, whichever of the two stands first."""
    with rig(saying('{"after_s": 60, "typed": "42 V"}', '{"typed": "42 V", "after_s": 600.5}')) as found:
        assert found.ask(VOLTS) == {"typed": "42 V", "after_s": 60.0}
        assert found.ask(VOLTS) == {"typed": "42 V", "after_s": 600.5}


def test_a_request_is_one_json_object_on_one_line() -> None:
    """The program sees what was asked, as JSON on a line of its own."""
    program = (
        "import sys, json\nasked = json.loads(sys.stdin.readline())\n"
        "print(json.dumps({'typed': f\"{asked['field']} {asked['kind']}\"}), flush=True)"
    )
    with rig(program) as found:
        answer = found.ask({"do": "read", "field": "identity.site", "kind": "text", "instrument": ""})
    assert answer == {"typed": "identity.site text"}


@pytest.mark.parametrize(
    ("request_sent", "answer"),
    [
        (VOLTS, "238.2 V"),
        (VOLTS, "[1, 2]"),
        (VOLTS, "{}"),
        (VOLTS, '{"shown": "238.2 V"}'),
        (VOLTS, '{"typed": "238.2 V", "shown": "2"}'),
        (VOLTS, '{"typed": "238.2 V", "typed": "0 V"}'),
        (VOLTS, '{"typed": 238.2}'),
        (VOLTS, '{"typed": null}'),
        (VOLTS, '{"typed": NaN}'),
        (VOLTS, '{"typed": "238.2"}'),
        (VOLTS, '{"typed": "238.2 ohm"}'),
        (VOLTS, '{"typed": "many volts"}'),
        (VOLTS, '{"typed": ""}'),
        (VOLTS, '{"typed": "238.2\\u001b[2J V"}'),
        (VOLTS, '{"typed": "\\u202e238.2 V"}'),
        (VOLTS, '{"typed": "' + "2" * 401 + ' V"}'),
        (VOLTS, "[" * 60_000),
        (VOLTS, '{"typed": "238.2 V", "after_s": "60"}'),
        (VOLTS, '{"typed": "238.2 V", "after_s": true}'),
        (VOLTS, '{"typed": "238.2 V", "after_s": -1}'),
        (VOLTS, '{"typed": "238.2 V", "after_s": 86401}'),
        (VOLTS, '{"typed": "238.2 V", "after_s": 1e999}'),
        (VOLTS, '{"after_s": 60}'),
        (VOLTS, '{"refused": "hot", "after_s": 60}'),
        (LOOK, '{"shown": "2", "after_s": 60}'),
        (VOLTS, '{"refused": 7}'),
        (LOOK, '{"shown": 2}'),
        (LOOK, '{"typed": "2"}'),
        (LOOK, '{"shown": "2\\n"' + ', "x": 1}'),
        (POWER, '{"done": false}'),
        (POWER, '{"done": "true"}'),
        (POWER, '{"typed": "off"}'),
    ],
)
def test_nonsense_is_said_in_one_sentence(request_sent: dict[str, str], answer: str) -> None:
    """An answer that the request cannot have is refused in one short, harmless line."""
    with rig(saying(answer)) as found, pytest.raises(RigError) as refused:
        found.ask(request_sent)
    sentence = str(refused.value)
    assert sentence.startswith("The rig")
    assert sentence.isprintable()
    assert len(sentence) < 400


def test_a_line_without_end_is_not_read_for_ever() -> None:
    """A flood without a line end is cut at the longest line."""
    flood = "import sys\nwhile True: sys.stdout.write('x' * 8192)"
    with rig(flood) as found, pytest.raises(RigError, match="65536 characters"):
        found.ask(VOLTS)


def test_silence_ends_after_the_time_allowed() -> None:
    """A program that says nothing is given up on, and how long it was given is said."""
    with rig("import time\ntime.sleep(60)", first_answer_s=0.2) as found:
        began = time.monotonic()
        with pytest.raises(RigError, match=r"did not answer within 0\.2 s"):
            found.ask(VOLTS)
        assert time.monotonic() - began < 5


def test_the_first_answer_may_take_longer_than_the_others() -> None:
    """The time to start counts only once."""
    program = (
        'import sys, time\nsys.stdin.readline(); time.sleep(0.5); print(\'{"typed": "1 V"}\', flush=True)\n'
        "sys.stdin.readline(); time.sleep(30)"
    )
    with rig(program, first_answer_s=20, answer_s=0.2) as found:
        assert found.ask(VOLTS) == {"typed": "1 V"}
        with pytest.raises(RigError, match=r"within 0\.2 s"):
            found.ask(VOLTS)


def test_an_answer_that_comes_too_late_is_not_taken_for_the_next_one() -> None:
    """After a wait was given up, the late answer is thrown away."""
    program = (
        'import sys, time\nsys.stdin.readline(); time.sleep(1)\nprint(\'{"typed": "1 V"}\', flush=True)\n'
        'sys.stdin.readline(); print(\'{"typed": "2 V"}\', flush=True)'
    )
    with rig(program, first_answer_s=0.2) as found:
        with pytest.raises(RigError):
            found.ask(VOLTS)
        found._first_answer_s = 20
        assert found.ask(VOLTS) == {"typed": "2 V"}


def test_a_wait_can_be_stopped_from_another_thread() -> None:
    """Setting `stop` ends the wait at once."""
    with rig("import time\ntime.sleep(60)") as found:
        threading.Timer(0.2, found.stop.set).start()
        began = time.monotonic()
        with pytest.raises(RigError, match="Stopped waiting"):
            found.ask(VOLTS)
        assert time.monotonic() - began < 5


def test_death_is_said_with_what_the_program_said_last() -> None:
    """Exit code and last complaint are part of the sentence, made harmless."""
    program = "import sys\nsys.stdin.readline()\nsys.stderr.write('no \\x1b[31mmeter\\n'); sys.exit(4)"
    with rig(program) as found, pytest.raises(RigError) as refused:
        found.ask(VOLTS)
    assert "exit code 4" in str(refused.value)
    assert "meter" in str(refused.value)
    assert "\x1b" not in str(refused.value)


def test_a_dead_program_stays_dead() -> None:
    """Every later request is refused as well, whatever the pipe does."""
    with rig("") as found:
        for _ in range(3):
            with pytest.raises(RigError, match="ended with exit code 0"):
                found.ask(VOLTS)


@pytest.mark.parametrize("line", ["", "   ", "'unclosed", "/nowhere/at/all --x"])
def test_a_command_that_cannot_be_started_is_said(line: str) -> None:
    """No shell, no traceback: one sentence."""
    with pytest.raises(RigError, match="rig command"):
        Command(line)


def test_closing_ends_a_program_that_would_go_on() -> None:
    """A program that ignores the end of its input is ended."""
    with rig(
        'import sys\nsys.stdin.readline(); print(\'{"typed": "1 V"}\', flush=True)\nwhile True: pass'
    ) as found:
        found.ask(VOLTS)
        began = time.monotonic()
        found.close()
        assert time.monotonic() - began < 10
        assert found._process.poll() is not None
        found.close()
        with pytest.raises(RigError):
            found.ask(VOLTS)
