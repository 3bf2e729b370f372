"""A drill on the full screen: draws what `drill_page` lays out, passes keys on to `drill_keys`."""

from collections.abc import Callable
from threading import Thread

from prompt_toolkit.input import Input
from prompt_toolkit.output import Output

from diagtree.practice.drill import Drill
from diagtree.practice.review import Review
from diagtree.report import drill as told
from diagtree.term.drill_keys import opened, paste, press
from diagtree.term.drill_page import lay_out, move, unread
from diagtree.term.drill_view import View
from diagtree.term.practice import Practised
from diagtree.term.scrolling import Sheet, too_small
from diagtree.term.showing import Showing


def practise(  # noqa: PLR0913  # all but the drill have a usual value
    drill: Drill,
    source: Input | None = None,
    target: Output | None = None,
    *,
    judge: Callable[[Drill], Review] | None = None,
    look: Callable[[Drill], None] | None = None,
    feed: Callable[["Screen"], None] | None = None,
) -> Practised:
    """Go on until a repair is named and its review read, or the trainee leaves. The screen is then as it was before.

    Args:
        drill: where it begins.
        source: of keys; None: the terminal.
        target: what shows it; None: the terminal.
        judge: judges it at its end; None: the screen is left there.
        look: told of each state that the trainee comes to.
        feed: called after each time the screen was drawn.
    """
    screen = Screen(drill, judge, look)
    screen.run(source, target, (lambda: feed(screen)) if feed else None)
    view = screen.view
    return Practised(view.drill, screen.judged, view.left == "interrupted")


class Screen(Showing):
    """The drill's view that is on the screen."""

    def __init__(
        self, drill: Drill, judge: Callable[[Drill], Review] | None = None, look: Callable[[Drill], None] | None = None
    ) -> None:
        super().__init__()
        self.view: View = opened(drill)
        self.judged: Review | None = None
        self._judge, self._look = judge, look
        self._failed: BaseException | None = None

    def sheet(self) -> Sheet:
        """The view, laid out."""
        if self._failed:
            raise self._failed
        return lay_out(self.view, *self.size, self._lines)

    def stage(self) -> object:
        """What a key would be for: the drill as it stands, the caution that is due, what is asked."""
        view = self.view
        return (id(view.drill), view.check, view.read, view.beside)

    @property
    def ended(self) -> bool:
        """Whether the screen is to be left."""
        return bool(self.view.left) or (self.view.drill.ended is not None and self._judge is None)

    def moved(self, key: str) -> None:
        """Point, or read on."""
        self.view = move(self.view, key, self.size, self._lines)

    def pasted(self, text: str) -> None:
        """Fill the field."""
        self.view = paste(self.view, text)

    def pressed(self, key: str) -> None:
        """Do whatever the key does."""
        before, self.view = self.view, self._after(key)
        drill = self.view.drill
        if drill is before.drill:
            return
        if drill.ended and self._judge:
            Thread(target=self._work, args=(drill,), daemon=True).start()
        elif self._look:
            self._look(drill)

    def _after(self, key: str) -> View:
        """The view after a key. What was not seen yet is not done: keys typed ahead, cautions not read to their end."""
        view = self.view
        held = self.is_held(key)
        if key in {"interrupt", "leave"}:
            return press(view, key)
        if too_small(*self.size) or not self.drawn:
            return view
        if view.kind in {"stop", "care"} and key != "escape" and unread(view, self.size, self._lines):
            return move(view, "page-down", self.size, self._lines)
        return press(view, key, held=held)

    def _lines(self, columns: int) -> tuple[str, ...] | None:
        return tuple(told.as_text(self.judged, columns).splitlines()) if self.judged else None

    def _work(self, drill: Drill) -> None:
        assert self._judge is not None
        try:
            self.judged = self._judge(drill)
        except BaseException as error:  # noqa: BLE001  # raised where the screen is drawn
            self._failed = error
        self.redraw()
