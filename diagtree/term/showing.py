"""A full screen: draws the sheet that is laid out for it, passes keys on, puts the terminal back. Of any dialogue."""

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from time import monotonic

from prompt_toolkit.application import Application
from prompt_toolkit.data_structures import Point
from prompt_toolkit.formatted_text import StyleAndTextTuples
from prompt_toolkit.input import Input
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.layout import FormattedTextControl, Layout, Window
from prompt_toolkit.output import ColorDepth, Output
from prompt_toolkit.styles import Style

from diagtree.report.lines import cells
from diagtree.term.scrolling import Sheet

# Names that can be read on a light and on a dark ground; nothing is said by colour alone.
_STYLE = Style.from_dict(
    {
        "title": "underline",
        "question": "bold",
        "large": "bold reverse",
        "pointed": "reverse",
        "stop": "bold ansired",
        "refusal": "bold",
        "heading": "bold",
        "quiet": "",
        "plain": "",
    }
)
_NARROWEST = 19  # columns to which a sheet is narrowed for stand-ins that are longer
# Seconds within which a key that comes again may be held down. Keyboards wait up to 0.7 s before they repeat one.
HELD = 0.75
# Seconds for which a thought may hold up a key.
_TURN = 0.0005
_ESCAPE = 0.1  # seconds to wait for the rest of an escape sequence
_MOVING = {"up": "up", "down": "down", "pageup": "page-up", "pagedown": "page-down"}
_NAMED = {
    "enter": "enter",
    "c-j": "enter",
    "tab": "menu",
    "escape": "escape",
    "backspace": "backspace",
    "c-u": "clear",
    "c-b": "back",
    "c-q": "leave",
    "c-c": "interrupt",
    Keys.SIGINT.value: "interrupt",
}


class Showing:
    """What is on the screen, asked for at each redraw. A dialogue says what it is, and what keys do."""

    def __init__(self) -> None:
        self.size = (79, 24)
        self.clock: Callable[[], float] = monotonic
        self._last = ("", 0.0)  # the last key, and when it came
        self._seen: object = None  # what was asked when the screen was drawn last

    def sheet(self) -> Sheet:
        """The sheet for `size`."""
        raise NotImplementedError

    def stage(self) -> object:
        """What a key would answer: nothing is answered before it was drawn."""
        raise NotImplementedError

    def pressed(self, key: str) -> None:
        """A key, by its name or its character, for all but those that move."""
        raise NotImplementedError

    def moved(self, key: str) -> None:
        """`up`, `down`, `page-up` or `page-down`."""
        raise NotImplementedError

    def pasted(self, text: str) -> None:
        """Text that was pasted: it answers nothing."""
        raise NotImplementedError

    @property
    def ended(self) -> bool:
        """Whether the screen is to be left."""
        raise NotImplementedError

    @property
    def drawn(self) -> bool:
        """Whether what a key would answer was drawn."""
        return self._seen == self.stage()

    def run(
        self, source: Input | None = None, target: Output | None = None, feed: Callable[[], None] | None = None
    ) -> None:
        """Show it until it has ended, or the terminal went away. `feed`: called after each time it was drawn."""
        usual = sys.getswitchinterval()
        sys.setswitchinterval(_TURN)
        try:
            app = self.application(source, target)
            if feed:
                app.after_render += lambda _: feed()
            app.run(pre_run=lambda: _heed_signals(app))
        except EOFError:  # the terminal went away: what is known stays known
            return
        finally:
            sys.setswitchinterval(usual)

    def application(self, source: Input | None, target: Output | None) -> Application[None]:
        """The application: one window, all of the screen."""
        self.window_cursor = Point(0, 0)
        control = FormattedTextControl(
            self._rows, focusable=True, show_cursor=True, get_cursor_position=lambda: self.window_cursor
        )
        app: Application[None] = Application(
            layout=Layout(Window(control, always_hide_cursor=False)),
            key_bindings=self._bindings(),
            style=_STYLE,
            full_screen=True,
            # Nothing of it is left where a terminal takes its first screen back at another size.
            erase_when_done=True,
            mouse_support=False,
            color_depth=ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else ColorDepth.DEPTH_4_BIT,
            input=source,
            output=target,
        )
        app.ttimeoutlen = app.timeoutlen = _ESCAPE
        app.after_render += lambda _: self._was_drawn()
        self._app = app
        return app

    def redraw(self) -> None:
        """Draw it again, from whatever thread."""
        self._app.invalidate()

    def is_held(self, key: str) -> bool:
        """Whether a key came so soon behind the same key that it may be held down. Asked once for each key."""
        before, at = self._last
        now = self.clock()
        self._last = (key, now)
        return key == before and now - at < HELD

    def _was_drawn(self) -> None:
        self._seen = self.stage()

    def _rows(self) -> StyleAndTextTuples:
        sheet = self._laid_out()
        line, cell = sheet.cursor
        # prompt_toolkit counts characters where a sheet counts cells, and finds no place behind a line's last one.
        before = _characters(sheet.rows[line].whole, cell)
        self.window_cursor = Point(x=before, y=line)
        found: StyleAndTextTuples = []
        for at, row in enumerate(sheet.rows):
            found.append((f"class:{row.look}", row.text))
            if row.aside:
                found.append(("", " " * max(1, row.start - cells(row.text))))
                found.append((f"class:{row.aside_look}", row.aside))
            elif at == line and before >= len(row.text):
                found.append(("", " "))
            if at + 1 < len(sheet.rows):
                found.append(("", "\n"))
        return found

    def _laid_out(self) -> Sheet:
        """The sheet in characters that the terminal has; narrower, where what stands in for others is longer."""
        size = self._app.output.get_size()
        # The last column stays free: some terminals wrap when it is written.
        columns = wide = max(2, size.columns - 1)
        encoding = self._app.output.encoding()
        while True:
            self.size = (wide, size.rows)
            sheet = self.sheet()
            if encoding.lower().startswith("utf"):
                return sheet
            rows = tuple(
                replace(row, text=_writable(row.text, encoding), aside=_writable(row.aside, encoding))
                for row in sheet.rows
            )
            over = max(cells(row.whole) for row in rows) - columns
            if over <= 0 or wide <= _NARROWEST:
                return replace(sheet, rows=rows)
            wide = max(_NARROWEST, wide - over)

    def _bindings(self) -> KeyBindings:
        bindings = KeyBindings()
        for key, meaning in _MOVING.items():
            bindings.add(key)(lambda event, meaning=meaning: self._move(event, meaning))
        for key, meaning in _NAMED.items():
            bindings.add(key)(lambda event, meaning=meaning: self._press(event, meaning))
        bindings.add(Keys.Any)(self._type)
        bindings.add(Keys.BracketedPaste)(self._paste)
        bindings.add("c-z")(lambda event: event.app.suspend_to_background())
        bindings.add("c-l")(lambda event: event.app.renderer.clear())
        return bindings

    def _move(self, event: KeyPressEvent, meaning: str) -> None:
        self._last = ("", 0.0)
        self.moved(meaning)
        self._leave(event)

    def _type(self, event: KeyPressEvent) -> None:
        if len(event.data) == 1 and event.data.isprintable():
            self._press(event, event.data)

    def _press(self, event: KeyPressEvent, key: str) -> None:
        self.pressed(key)
        self._leave(event)

    def _paste(self, event: KeyPressEvent) -> None:
        self.pasted(event.data)
        self._leave(event)

    def _leave(self, event: KeyPressEvent) -> None:
        if self.ended and not event.app.is_done:
            event.app.exit()


def _writable(text: str, encoding: str) -> str:
    """The text in what an encoding has; the rest as standard output would show it, never as `?`, which is an answer."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return text.encode(encoding, getattr(sys.stdout, "errors", None) or "backslashreplace").decode(encoding)
    return text


def _characters(text: str, count: int) -> int:
    """How many characters stand before this cell."""
    return next((at for at in range(len(text)) if cells(text[: at + 1]) > count), len(text))


def _heed_signals(app: Application[None]) -> None:
    """Let a signal that ends the program end the screen first, so that the terminal is put back."""

    def leave(number: int) -> None:
        if not app.is_done:
            app.exit(exception=SystemExit(128 + number))

    loop = asyncio.get_running_loop()
    for name in ("SIGTERM", "SIGHUP"):
        # Not every system has them, and only the main thread may ask.
        with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
            number = getattr(signal, name)
            loop.add_signal_handler(number, leave, number)
