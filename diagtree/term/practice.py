"""A drill line by line: from a pipe, or on a terminal."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagtree.measure.trouble import quote
from diagtree.practice.drill import Drill, Refused, ask, asked_by_tree, cautions, looked_at_odds, name_repair
from diagtree.practice.review import Review
from diagtree.report import drill as told
from diagtree.report.dialogue import fold
from diagtree.term.lines import PROMPT, Streams, forget_typed
from diagtree.term.view import READ

HELP = (
    "A check's number or id does it.",
    "  list            the checks that are left, with their prices",
    "  faults          what can be named at the end",
    "  repair FAULT... names the repair and ends the drill; several faults may be named",
    "  tree            does what the tree asks next",
    "  odds            what the answers so far leave likely (it is told at the end)",
    "  paid            what was paid, and what is off the car",
    "  leave           ends without a result",
)
LEFT = "The drill was left. It has no result."
NO_WAY_ON = "The tree has no way on from these answers."
_LEAVE = "leave"


@dataclass(frozen=True, slots=True)
class Practised:
    """A drill as it was left."""

    drill: Drill
    judged: Review | None = None  # where the screen stayed until its choices were judged
    interrupted: bool = False


def practise(drill: Drill, streams: Streams, look: Callable[[Drill], None] | None = None) -> Drill:
    """Go on until a repair is named, the trainee leaves or the input ends; the drill as it then stands.

    Args:
        drill: where it begins.
        streams: of words.
        look: told of each state that the trainee comes to.
    """
    _say(streams, [*told.arrival(drill), "", *told.checks(drill), "", "'help' tells what else can be typed."])
    while drill.ended is None:
        text = _reply(streams)
        if text is None or text == _LEAVE:
            _say(streams, [LEFT])
            return drill
        name = _asked_for(drill, text)
        if name and not _warned(drill, name, streams):
            _say(streams, [LEFT])
            return drill
        after = reply(drill, text)
        if isinstance(after, Refused):
            _complain(streams, after.sentence)
        else:
            _say(streams, after[1])
            drill = after[0]
            if look and drill.ended is None:
                look(drill)
    return drill


def reply(drill: Drill, text: str) -> tuple[Drill, list[str]] | Refused:
    """What one line of a trainee does, and what to tell of it."""
    word, *rest = text.split()
    if word in _TELLING:
        return _TELLING[word](drill)
    if word == "repair":
        named = name_repair(drill, tuple(rest))
        return named if isinstance(named, Refused) else (named, [])
    if word == "tree":
        asked = asked_by_tree(drill)
        if isinstance(asked, str):
            return _do(drill, asked)
        return drill, [tree_ends(asked) if asked else NO_WAY_ON]
    return _do(drill, _check(drill, text))


def tree_ends(causes: tuple[str, ...]) -> str:
    """What the tree as written comes to."""
    return f"The tree asks no more. It ends with: repair {' '.join(causes)}"


def _asked_for(drill: Drill, text: str) -> str:
    """The check that a line would do; '' where it does none."""
    word = text.split(maxsplit=1)[0]
    if word in _TELLING or word == "repair":
        return ""
    asked = asked_by_tree(drill) if word == "tree" else _check(drill, text)
    return asked if isinstance(asked, str) and isinstance(ask(drill, asked), Drill) else ""


def _warned(drill: Drill, name: str, streams: Streams) -> bool:
    """Show a check's cautions before it is done; whether to go on. On a terminal each `stop` waits to be read."""
    found = cautions(drill, name)
    stops = sum(one.level == "stop" for one in found)
    for at, line in enumerate(told.cautions(drill, name)):
        _say(streams, [line])
        if streams.terminal and at < stops and not _acknowledged(streams, READ[(stops - at - 1) % len(READ)]):
            return False
    return True


def _acknowledged(streams: Streams, wanted: str) -> bool:
    """Wait for the key of this caution: the next one has another."""
    forget_typed(streams.replies)
    while True:
        streams.out.write(f"Type {wanted} and Enter when you have read this. ")
        streams.out.flush()
        line = streams.replies.readline()
        if not line or line.strip() == _LEAVE:
            return False
        if line.strip().lower() == wanted:
            return True


def _check(drill: Drill, text: str) -> str:
    """A check's id, from its id or its number in the list."""
    free = drill.car.case.free
    # A digit of another script is no number here.
    at = int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else 0
    return free[at - 1].id if 0 < at <= len(free) else text


def _do(drill: Drill, name: str) -> tuple[Drill, list[str]] | Refused:
    if name not in drill.car.case.checks:
        return Refused(f"There is no check {quote(name)}. 'list' shows them, 'help' what else can be typed.")
    after = ask(drill, name)
    if isinstance(after, Refused):
        return after
    check = drill.car.case.library.checks[name]
    lines = [check.how] if check.how else []
    if after.ended is None:
        lines += [told.shown(after, after.taken[-1]), told.so_far(after)]
    return after, lines


def _odds(drill: Drill) -> tuple[Drill, list[str]]:
    after = looked_at_odds(drill)
    return after, told.odds(after)


_TELLING: Mapping[str, Callable[[Drill], tuple[Drill, list[str]]]] = {
    "help": lambda drill: (drill, list(HELP)),
    "list": lambda drill: (drill, told.checks(drill)),
    "faults": lambda drill: (drill, told.mendable(drill)),
    "paid": lambda drill: (drill, [told.so_far(drill)]),
    "odds": _odds,
}


def _reply(streams: Streams) -> str | None:
    """The next line that says something; None where the input has ended."""
    if streams.terminal:
        streams.out.write(PROMPT)
        streams.out.flush()
    while line := streams.replies.readline():
        text = line.strip()
        if text and not text.startswith("#"):
            if not streams.terminal:
                _say(streams, [f"{PROMPT}{quote(text)[1:-1]}"])
            return text
        if streams.terminal:
            streams.out.write(PROMPT)
            streams.out.flush()
    return None


def _say(streams: Streams, lines: list[str]) -> None:
    streams.out.write(fold(lines, streams.columns))
    streams.out.flush()


def _complain(streams: Streams, sentence: str) -> None:
    streams.err.write(fold([sentence], streams.columns) if streams.terminal else f"{sentence}\n")
    streams.err.flush()
