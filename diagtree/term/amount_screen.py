"""The row of dots on a terminal, below what was printed: the arrow keys move the amount."""

import os
import sys

from prompt_toolkit.application import Application
from prompt_toolkit.formatted_text import StyleAndTextTuples
from prompt_toolkit.input import Input
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.layout import FormattedTextControl, Layout, Window
from prompt_toolkit.output import ColorDepth, Output

from diagtree.estimate.estimate import Estimate
from diagtree.term.amount import Moved, begin, press, rows

_NAMED = {
    "left": "left",
    "right": "right",
    "up": "up",
    "down": "down",
    "pageup": "page-up",
    "pagedown": "page-down",
    "home": "home",
    "end": "end",
    "enter": "enter",
    "c-j": "enter",
    "q": "q",
    "Q": "q",
    "escape": "escape",
}
_ESCAPE = 0.1  # seconds to wait for the rest of an escape sequence


def choose(estimate: Estimate, source: Input | None = None, target: Output | None = None) -> float:
    """Let somebody move the amount; where it stood when it was left. The screen below is as it was before.

    Args:
        estimate: whose dots they are.
        source: of keys; None: the terminal.
        target: what shows it; None: the terminal.

    Raises:
        KeyboardInterrupt: it was interrupted.
    """
    screen = _Screen(begin(estimate))
    try:
        screen.application(source, target).run()
    except EOFError:  # the terminal went away
        return screen.view.amount
    return screen.view.amount


class _Screen:
    """The view that is on the screen. prompt_toolkit asks for it at each redraw."""

    def __init__(self, view: Moved) -> None:
        self.view = view

    def application(self, source: Input | None, target: Output | None) -> Application[None]:
        """The application: a few lines below the cursor, wiped when it is left."""
        control = FormattedTextControl(self._rows, focusable=True, show_cursor=False)
        app: Application[None] = Application(
            layout=Layout(Window(control, dont_extend_height=True)),
            key_bindings=self._bindings(),
            full_screen=False,
            erase_when_done=True,
            mouse_support=False,
            color_depth=ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else ColorDepth.DEPTH_4_BIT,
            input=source,
            output=target,
        )
        app.ttimeoutlen = app.timeoutlen = _ESCAPE
        self._app = app
        return app

    def _rows(self) -> StyleAndTextTuples:
        size = self._app.output.get_size()
        # The last column stays free: some terminals wrap when it is written.
        shown = rows(self.view, max(2, size.columns - 1))[: max(1, size.rows - 1)]
        encoding = self._app.output.encoding()
        return [("bold" if at == 0 else "", _writable(line, encoding) + "\n") for at, line in enumerate(shown)]

    def _bindings(self) -> KeyBindings:
        bindings = KeyBindings()
        for key, meaning in _NAMED.items():
            bindings.add(key)(lambda event, meaning=meaning: self._pressed(event, meaning))
        bindings.add("c-c")(lambda event: event.app.exit(exception=KeyboardInterrupt))
        bindings.add("<sigint>")(lambda event: event.app.exit(exception=KeyboardInterrupt))
        bindings.add("c-l")(lambda event: event.app.renderer.clear())
        return bindings

    def _pressed(self, event: KeyPressEvent, key: str) -> None:
        self.view = press(self.view, key)
        if self.view.left and not event.app.is_done:
            event.app.exit()


def _writable(text: str, encoding: str) -> str:
    """The text in what an encoding has; the rest as standard output would show it."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return text.encode(encoding, getattr(sys.stdout, "errors", None) or "backslashreplace").decode(encoding)
    return text
