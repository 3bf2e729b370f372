"""The walk on the full screen: draws what `sheet` lays out, passes keys on. The only importer of prompt_toolkit."""

import asyncio
import os
import signal
import sys
from contextlib import suppress
from dataclasses import replace
from typing import NoReturn

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
from diagtree.term.sheet import Sheet, lay_out, move, unread
from diagtree.term.view import View, opened, paste, press
from diagtree.walk.session import Session

_STYLE = Style.from_dict(
    {
        "title": "reverse",
        "question": "bold",
        "pointed": "reverse",
        "stop": "bold ansired",
        "refusal": "bold",
        "quiet": "",
        "plain": "",
    }
)
_NARROWEST = 20  # columns to which a sheet is narrowed for stand-ins that are longer
_MOVING = {"up": "up", "down": "down", "pageup": "page-up", "pagedown": "page-down"}
_NAMED = {
    "enter": "enter",
    "c-j": "enter",
    "backspace": "backspace",
    "c-u": "clear",
    "c-b": "back",
    "c-q": "leave",
    "c-c": "interrupt",
    Keys.SIGINT.value: "interrupt",
}


def walk(session: Session, source: Input | None = None, target: Output | None = None) -> Session:
    """Walk on the screen; the walk as it was left.

    Raises:
        KeyboardInterrupt: it was interrupted. The screen is as it was before.
    """
    screen = _Screen(session)
    try:
        app = screen.application(source, target)
        app.run(pre_run=lambda: _heed_signals(app))
    except EOFError:  # the terminal went away: what is known stays known
        return screen.view.session
    if screen.view.left == "interrupted":
        _interrupt()
    return screen.view.session


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


def _interrupt() -> NoReturn:
    raise KeyboardInterrupt


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


class _Screen:
    """The view that is on the screen. prompt_toolkit asks for it at each redraw."""

    def __init__(self, session: Session) -> None:
        self.view: View = opened(session)
        self.size = (80, 24)

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
            mouse_support=False,
            color_depth=ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else None,
            input=source,
            output=target,
        )
        self._app = app
        return app

    def _rows(self) -> StyleAndTextTuples:
        sheet = self._laid_out()
        line, cell = sheet.cursor
        # prompt_toolkit counts characters where a sheet counts cells, and finds no place behind a line's last one.
        before = _characters(sheet.rows[line].text, cell)
        self.window_cursor = Point(x=before, y=line)
        found: StyleAndTextTuples = []
        for at, row in enumerate(sheet.rows):
            found.append((f"class:{row.look}", row.text))
            if at == line and before >= len(row.text):
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
            sheet = lay_out(self.view, *self.size)
            rows = tuple(replace(row, text=_writable(row.text, encoding)) for row in sheet.rows)
            over = max(cells(row.text) for row in rows) - columns
            if over <= 0 or wide <= _NARROWEST:
                return replace(sheet, rows=rows)
            wide = max(_NARROWEST, wide - over)

    def _bindings(self) -> KeyBindings:
        bindings = KeyBindings()
        for key, meaning in _MOVING.items():
            bindings.add(key)(lambda event, meaning=meaning: self._show(event, move(self.view, meaning, *self.size)))
        for key, meaning in _NAMED.items():
            bindings.add(key)(lambda event, meaning=meaning: self._show(event, self._pressed(meaning)))
        bindings.add(Keys.Any)(self._typed)
        bindings.add(Keys.BracketedPaste)(lambda event: self._show(event, paste(self.view, event.data)))
        bindings.add("c-z")(lambda event: event.app.suspend_to_background())
        bindings.add("c-l")(lambda event: event.app.renderer.clear())
        return bindings

    def _typed(self, event: KeyPressEvent) -> None:
        if len(event.data) == 1 and event.data.isprintable():
            self._show(event, self._pressed(event.data))

    def _pressed(self, key: str) -> View:
        # A caution is acknowledged once all of it was on the screen.
        if key == "enter" and self.view.kind == "stop" and unread(self.view, *self.size):
            return move(self.view, "page-down", *self.size)
        return press(self.view, key)

    def _show(self, event: KeyPressEvent, view: View) -> None:
        self.view = view
        if view.left and not event.app.is_done:
            event.app.exit()
