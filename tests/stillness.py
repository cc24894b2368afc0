"""When a screen under test is at rest, told by what waits to be done and not by how busy the processor is.

The screen library's own test driver takes a process that uses no processor for a fiftieth of a second for
one that has nothing left to do: three such waits a key, and on a busy machine a process is just as quiet
because others have the processor. Here a screen is at rest once no message waits for any part of it, nothing
is left to be laid out or drawn, and nothing is looked at in a thread any more.
"""

from __future__ import annotations

import asyncio
from typing import Any

from textual._context import active_app
from textual.app import App
from textual.screen import Screen

MOST_S = 60.0
"""How long rest is waited for."""
RIG_S = 1.0
"""How long a rig is waited for, which may never answer; what it answers is waited for where it is drawn."""
LOOK_S = 0.002
NEAR_S = 0.004
"""A timer that ends so soon is waited for: what it does is as good as begun."""
ROUNDS = 2
"""How often in a row nothing may be left to do: what a thread hands over comes in between."""


async def still(min_sleep: float = 0.0, max_sleep: float = MOST_S) -> None:
    """Wait until the program that is shown is at rest; the place of the library's `wait_for_idle` is this."""
    loop = asyncio.get_running_loop()
    began = loop.time()
    app = active_app.get(None)
    while loop.time() - began < MOST_S:
        await _nothing_waits(loop, began + MOST_S)
        shown = app is not None and app._running and bool(app.screen_stack)
        if app is None or not shown:
            return
        if app._resize_event is not None:
            app._check_resize()
        elif _is_to_be_drawn(app.screen):
            app.screen._on_timer_update()
        elif _looks_in_a_thread(app, loop.time() - began):
            await asyncio.sleep(LOOK_S)
        else:
            return
    raise AssertionError(f"{app} does not come to rest: {[*app.workers]}" if app else "There is no rest.")


async def _nothing_waits(loop: asyncio.AbstractEventLoop, until: float) -> None:
    """Let all that is ready to run have its turn, until nothing else is."""
    quiet = 0
    while quiet < ROUNDS and loop.time() < until:
        await asyncio.sleep(0)
        quiet = 0 if loop._ready else quiet + 1  # type: ignore[attr-defined]
        if quiet == ROUNDS and (near := _soonest(loop)) < NEAR_S:
            await asyncio.sleep(max(near, 0.0))
            quiet = 0


def _soonest(loop: asyncio.AbstractEventLoop) -> float:
    """Seconds until the next timer."""
    timers = [timer.when() for timer in loop._scheduled if not timer.cancelled()]  # type: ignore[attr-defined]
    return min(timers, default=float("inf")) - loop.time()


def _is_to_be_drawn(screen: Screen[Any]) -> bool:
    """Whether the screen would draw at its next sixtieth of a second, or do what waits for that."""
    wanted = screen._layout_required or screen._scroll_required or screen._repaint_required
    drawn = screen._recompose_required or bool(screen._dirty_widgets)
    return bool(screen._callbacks) or (
        screen.is_current and not screen.app._batch_count and (wanted or drawn)
    )


def _looks_in_a_thread(app: App[Any], waited_s: float) -> bool:
    """Whether a thread of the program is still at work."""
    return any(
        not worker.is_finished and (worker.group != "rig" or waited_s < RIG_S) for worker in app.workers
    )
