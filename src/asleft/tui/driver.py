"""The terminal's driver, which outlives bytes that are no keys: old accents, noise on a line."""

from __future__ import annotations

from textual.driver import Driver


def forgiving(driver: type[Driver]) -> type[Driver]:
    """The same driver where it reads a Unix terminal, except that what is no UTF-8 and no key is dropped.

    The library's own ends the whole program at the first such byte.
    """
    try:
        from textual.drivers.linux_driver import LinuxDriver
    except ImportError:
        # Another system, with another driver; it reads characters, not bytes.
        return driver
    if driver is not LinuxDriver:
        return driver

    class Forgiving(LinuxDriver):
        """Begins to read anew after what it cannot read."""

        def run_input_thread(self) -> None:
            """Read until the program ends."""
            while True:
                try:
                    return super().run_input_thread()
                except (ValueError, LookupError):
                    # No UTF-8, or the number of a key that there is not. What came in the same moment goes
                    # with it, is not drawn and can be typed again; it has been read, so this ends.
                    continue

    return Forgiving
