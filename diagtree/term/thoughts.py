"""What takes longer than a key may: the advice, why a question, what would change the advice, what the walk came to.

Each thought is lines of text, of an advice two: all of it, and the same in short. `Thoughts` has them at once; `Slow`
works them out beside the keys and asks for a redraw.
"""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from threading import Lock, Thread
from time import sleep
from typing import Literal, TypeAlias

from diagtree.report.advice import hint_brief, hint_lines
from diagtree.walk.answers import Refused, read_finding
from diagtree.walk.session import Session

Kind: TypeAlias = Literal["advice", "why", "change", "ending", "reading", "address"]
# Of a tree: where each of its nodes stands on the poster, such as 'C4'. It may take a while.
Address: TypeAlias = Callable[[str], Mapping[str, str]]
Lines: TypeAlias = tuple[str, ...]
# Seconds for what would change the advice: who waits for it stands at the car.
PATIENCE = 2.0
# Seconds before a thought is begun: the screen is drawn meanwhile, and who goes on at once spares it.
_PAUSE = 0.03
_KEPT = 24  # thoughts that are remembered
NO_PRICES = "This library has no engine, so that no check has a price and there is nothing to weigh."
NO_QUESTION = "No question stands here: the walk has ended."


def think(kind: Kind, session: Session, detail: str = "", address: Address | None = None) -> Lines:
    """Work a thought out.

    Args:
        kind: which.
        session: of what.
        detail: of an ending its columns, of a reading `CHECK TEXT`.
        address: of a tree's nodes.
    """
    match kind:
        case "advice":
            lines = hint_lines(session)
            return (" ".join(lines), hint_brief(session)) if lines else ()
        case "why":
            return why(session, PATIENCE)
        case "change":
            return change(session, PATIENCE)
        case "ending":
            return _ending(session, int(detail))
        case "reading":
            check, _, text = detail.partition(" ")
            return reading(session, check, text)
        case "address":
            here = session.here
            found = address(here.tree.id).get(here.node.id, "") if address else ""
            return (found,) if found else ()


def why(session: Session, seconds: float) -> Lines:
    """Which causes the question tells apart, and what each answer would do."""
    return _explained(session, seconds, change=False)


def change(session: Session, seconds: float) -> Lines:
    """What would change the advice: the figures whose smallest moves do."""
    return _explained(session, seconds, change=True)


def _explained(session: Session, seconds: float, *, change: bool) -> Lines:
    if not session.case.library.engines:
        return (NO_PRICES,)
    if session.check is None:
        return (NO_QUESTION,)
    from diagtree.report.why import answer_lines, even_lines
    from diagtree.walk.advice import look_ahead
    from diagtree.walk.why import answers_of, why

    # Where the walk went on in another tree, it is that tree's checks and causes that are weighed.
    here = replace(session, case=replace(session.case, tree=session.tree))
    found = look_ahead(here)
    if not found.cars:
        return ("The answers contradict one another: there is nothing to weigh. Take the doubtful ones again.",)
    if change:
        return tuple(even_lines(found, why(found, session.check.id, seconds)))
    library = session.case.library
    return tuple(
        line
        for then in answers_of(found, session.check.id)
        for line in (*answer_lines(library, session.check, then), "")
    )


def _ending(session: Session, columns: int) -> Lines:
    from diagtree.report.walk import as_text
    from diagtree.walk.result import result

    return tuple(as_text(result(session), columns).splitlines())


def reading(session: Session, check: str, text: str) -> Lines:
    """What a field holds, as it would be taken; nothing while it is no answer yet."""
    from diagtree.report.question import as_taken

    finding = read_finding(session.case.library.checks[check], session.case.engine, text)
    return () if isinstance(finding, Refused) else tuple(as_taken(session, finding))


class Thoughts:
    """Thoughts, each worked out when it is first asked for."""

    def __init__(self, address: Address | None = None) -> None:
        self.address = cache(address) if address else None
        # The session is kept with its thought, so that its id names no other one meanwhile.
        self._kept: OrderedDict[tuple[Kind, int, str], tuple[Session, Lines]] = OrderedDict()

    def of(self, kind: Kind, session: Session, detail: str = "") -> Lines | None:
        """The thought; None while it is being worked out."""
        key = (kind, id(session), detail)
        if key not in self._kept:
            self._keep(key, session, think(kind, session, detail, self.address))
        return self._kept[key][1]

    def _keep(self, key: tuple[Kind, int, str], session: Session, lines: Lines) -> None:
        self._kept[key] = (session, lines)
        while len(self._kept) > _KEPT:
            self._kept.popitem(last=False)


class Slow(Thoughts):
    """Thoughts worked out beside the keys: one of a kind at a time, the one asked for last first."""

    def __init__(self, redraw: Callable[[], None], address: Address | None = None) -> None:
        super().__init__(address)
        self._redraw = redraw
        self._lock = Lock()
        self._wished: dict[Kind, tuple[Session, str]] = {}
        self._busy: set[Kind] = set()
        self._failed: BaseException | None = None

    def of(self, kind: Kind, session: Session, detail: str = "") -> Lines | None:
        """The thought; None while it is being worked out, after which the screen is drawn again."""
        with self._lock:
            if self._failed:
                raise self._failed
            found = self._kept.get((kind, id(session), detail))
            if found:
                return found[1]
            self._wished[kind] = (session, detail)
            if kind in self._busy:
                return None
            self._busy.add(kind)
        # A thread of its own that ends with the program: who leaves does not wait for a thought.
        Thread(target=self._work, args=(kind,), daemon=True).start()
        return None

    def _work(self, kind: Kind) -> None:
        while True:
            sleep(_PAUSE)
            with self._lock:
                wish = self._wished.pop(kind, None)
                if wish is None:
                    self._busy.discard(kind)
                    return
            session, detail = wish
            try:
                lines = think(kind, session, detail, self.address)
            except BaseException as error:  # noqa: BLE001  # raised where the screen asks for it
                self._failed = error
                lines = ()
            with self._lock:
                self._keep((kind, id(session), detail), session, lines)
            self._redraw()
