"""The walk on the full screen: draws what `sheet` lays out, passes keys on. The only importer of prompt_toolkit."""

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from time import monotonic
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
from diagtree.term.pressing import kept, opened, paste, press
from diagtree.term.sheet import Sheet, in_sight, lay_out, move, too_small, unread
from diagtree.term.thoughts import Address, Slow, Thoughts
from diagtree.term.view import TYPING, View
from diagtree.walk.keeping import Keeper
from diagtree.walk.session import Session
from diagtree.walk.warnings import due

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


def walk(  # noqa: PLR0913  # all but the walk have a usual value
    session: Session,
    source: Input | None = None,
    target: Output | None = None,
    *,
    keeper: Keeper | None = None,
    address: Address | None = None,
    feed: Callable[["Screen"], None] | None = None,
) -> Session:
    """Walk on the screen; the walk as it was left.

    Args:
        session: where it begins.
        source: of keys; None: the terminal.
        target: what shows it; None: the terminal.
        keeper: what is told of each step.
        address: of a tree, where its nodes stand on the poster.
        feed: called after each time the screen was drawn.

    Raises:
        KeyboardInterrupt: it was interrupted. The screen is as it was before.
    """
    screen = Screen(session, keeper, address)
    usual = sys.getswitchinterval()
    sys.setswitchinterval(_TURN)
    try:
        app = screen.application(source, target)
        if feed:
            app.after_render += lambda _: feed(screen)
        app.run(pre_run=lambda: _heed_signals(app))
    except EOFError:  # the terminal went away: what is known stays known
        return screen.view.session
    finally:
        sys.setswitchinterval(usual)
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


class Screen:
    """The view that is on the screen. prompt_toolkit asks for it at each redraw."""

    def __init__(self, session: Session, keeper: Keeper | None = None, address: Address | None = None) -> None:
        self.view: View = opened(session, keeper.news if keeper else ())
        self.size = (79, 24)
        self.thoughts: Thoughts = Slow(self._redraw, address)
        self.clock: Callable[[], float] = monotonic
        self._keeper = keeper
        self._last = ("", 0.0)  # the last key, and when it came
        self._seen: object = None  # what was asked when the screen was drawn last

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
            color_depth=ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else ColorDepth.DEPTH_4_BIT,
            input=source,
            output=target,
        )
        app.ttimeoutlen = app.timeoutlen = _ESCAPE
        app.after_render += lambda _: self._drawn()
        self._app = app
        return app

    def _redraw(self) -> None:
        self._app.invalidate()

    def _drawn(self) -> None:
        self._seen = self._stage()

    def _stage(self) -> object:
        """What an answer would be for: the walk as it stands, the caution that is due, what is told anew."""
        view = self.view
        return (id(view.session), len(due(view.session)), view.beside, view.anew)

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
            sheet = lay_out(self.view, *self.size, self.thoughts)
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
            bindings.add(key)(lambda event, meaning=meaning: self._moved(event, meaning))
        for key, meaning in _NAMED.items():
            bindings.add(key)(lambda event, meaning=meaning: self._show(event, self._pressed(meaning)))
        bindings.add(Keys.Any)(self._typed)
        bindings.add(Keys.BracketedPaste)(lambda event: self._show(event, paste(self.view, event.data)))
        bindings.add("c-z")(lambda event: event.app.suspend_to_background())
        bindings.add("c-l")(lambda event: event.app.renderer.clear())
        return bindings

    def _moved(self, event: KeyPressEvent, meaning: str) -> None:
        self._last = ("", 0.0)
        self._show(event, move(self.view, meaning, self.size, self.thoughts))

    def _typed(self, event: KeyPressEvent) -> None:
        if len(event.data) == 1 and event.data.isprintable():
            self._show(event, self._pressed(event.data))

    def _pressed(self, key: str) -> View:
        """The view after a key. What was not seen yet is not answered: keys typed ahead, answers out of sight."""
        view = self.view
        held = self._is_held(key)
        if key in {"interrupt", "leave"}:
            return press(view, key)
        if too_small(*self.size):
            return view
        edits = view.kind in TYPING and key not in {"enter", "?"}
        if self._seen != self._stage() and not edits:
            return view
        if view.kind == "stop" and unread(view, *self.size, self.thoughts):
            return move(view, "page-down", self.size, self.thoughts)
        if view.kind == "pick" and key.isdecimal() and not in_sight(view, int(key) - 1, *self.size, self.thoughts):
            held = True
        return press(view, key, held=held)

    def _is_held(self, key: str) -> bool:
        before, at = self._last
        now = self.clock()
        self._last = (key, now)
        return key == before and now - at < HELD

    def _show(self, event: KeyPressEvent, view: View) -> None:
        before, self.view = self.view, view
        if self._keeper and view.session is not before.session:
            typed = before.typed if before.kind in TYPING else ""
            self.view = kept(view, self._keeper.keep(before.session, view.session, typed))
        if self.view.left and not event.app.is_done:
            event.app.exit()
