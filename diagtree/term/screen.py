"""The walk on the full screen: draws what `sheet` lays out, passes keys on to `pressing`."""

from collections.abc import Callable

from prompt_toolkit.input import Input
from prompt_toolkit.output import Output

from diagtree.term.pressing import kept, opened, paste, press
from diagtree.term.sheet import Sheet, in_sight, lay_out, move, too_small, unread
from diagtree.term.showing import Showing
from diagtree.term.thoughts import Address, Slow, Thoughts
from diagtree.term.view import TYPING, View
from diagtree.walk.keeping import Keeper
from diagtree.walk.session import Session
from diagtree.walk.warnings import due


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
    screen.run(source, target, (lambda: feed(screen)) if feed else None)
    if screen.view.left == "interrupted":
        raise KeyboardInterrupt
    return screen.view.session


class Screen(Showing):
    """The walk's view that is on the screen."""

    def __init__(self, session: Session, keeper: Keeper | None = None, address: Address | None = None) -> None:
        super().__init__()
        self.view: View = opened(session, keeper.news if keeper else ())
        self.thoughts: Thoughts = Slow(self.redraw, address)
        self._keeper = keeper

    def sheet(self) -> Sheet:
        """The view, laid out."""
        return lay_out(self.view, *self.size, self.thoughts)

    def stage(self) -> object:
        """What an answer would be for: the walk as it stands, the caution that is due, what is told anew."""
        view = self.view
        return (id(view.session), len(due(view.session)), view.beside, view.anew)

    @property
    def ended(self) -> bool:
        """Whether the walk was left."""
        return bool(self.view.left)

    def moved(self, key: str) -> None:
        """Point, or read on."""
        self._show(move(self.view, key, self.size, self.thoughts))

    def pasted(self, text: str) -> None:
        """Fill a field."""
        self._show(paste(self.view, text))

    def pressed(self, key: str) -> None:
        """Answer, or whatever the key does."""
        self._show(self._after(key))

    def _after(self, key: str) -> View:
        """The view after a key. What was not seen yet is not answered: keys typed ahead, answers out of sight."""
        view = self.view
        held = self.is_held(key)
        if key in {"interrupt", "leave"}:
            return press(view, key)
        if too_small(*self.size):
            return view
        edits = view.kind in TYPING and key not in {"enter", "?"}
        if not self.drawn and not edits:
            return view
        if view.kind == "stop" and unread(view, *self.size, self.thoughts):
            return move(view, "page-down", self.size, self.thoughts)
        if view.kind == "pick" and key.isdecimal() and not in_sight(view, int(key) - 1, *self.size, self.thoughts):
            held = True
        return press(view, key, held=held)

    def _show(self, view: View) -> None:
        before, self.view = self.view, view
        if self._keeper and view.session is not before.session:
            typed = before.typed if before.kind in TYPING else ""
            self.view = kept(view, self._keeper.keep(before.session, view.session, typed))
