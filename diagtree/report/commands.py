"""The words that a walk line by line understands besides answers, and what those tell that change nothing."""

from diagtree.report.lines import hang
from diagtree.report.question import builds_open
from diagtree.report.way import off_lines, passed_by, way_lines
from diagtree.walk.changes import elsewhere
from diagtree.walk.session import Session

# What changes the walk, or is worked out elsewhere; `TOLD` are told here.
WORDS: tuple[tuple[str, str], ...] = (
    ("?", "cannot tell"),
    ("back", "take the last answer back"),
    ("again READING", "the last reading once more"),
    ("CHECK=ANSWER", "answer any check, also one answered before"),
    ("FEATURE=VALUE", "tell the build, such as chain=roller; or build=ID"),
    ("answers", "what was told so far, numbered"),
    ("revise N ANSWER", "tell one of them anew; what follows is replayed"),
    ("note TEXT", "note something on the last answer; note CHECK: TEXT on another"),
    ("trees", "the trees that this walk can jump to"),
    ("jump TREE", "go on in another tree, all answers kept"),
    ("why", "which causes this question tells apart, and what each answer would do"),
    ("change", "what would change the advice"),
    ("info", "all that is still possible, the way so far, what is off the car"),
    ("help", "these words"),
    ("quit", "stop here with what is known"),
)
HELP = "help"
QUIT = "quit"
TOLD = frozenset({HELP, "answers", "trees", "info"})


def told_by(word: str, session: Session, columns: int) -> list[str]:
    """What a word of `TOLD` tells."""
    match word:
        case "answers":
            listed = [
                f"{place}. {one.given.name}: {one.ask} {one.answer}.{f' Note: {one.note}' if one.note else ''}"
                for place, one in enumerate(passed_by(session), start=1)
            ]
            return listed or ["Nothing was told so far."]
        case "trees":
            listed = [f"{tree.id}: {tree.title}" for tree in elsewhere(session)]
            return listed or ["No other tree suits this engine."]
        case "info":
            return _info(session)
        case _:
            return [line for name, says in WORDS for line in hang(f"   {name}", says, 20, columns)]


def _info(session: Session) -> list[str]:
    trees = " > ".join(dict.fromkeys(stop.tree.title for stop in session.route.stops))
    way = [f"   {place}. {line}" for place, line in enumerate(way_lines(session), start=1)]
    off = [f"   - {line}" for line in off_lines(session)]
    return [
        f"Where we are: {trees}.",
        *(["The way so far:", *way] if way else []),
        *(["Off the car:", *off] if off else []),
        *builds_open(session),
    ]
