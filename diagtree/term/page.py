"""What stands on the screen, in rows wrapped to its columns: the text that scrolls, the title, the keys. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias

from diagtree.model.fault import Caution
from diagtree.reason.belief import Belief
from diagtree.report import chances
from diagtree.report.advice import hint_lines
from diagtree.report.lines import cells, hang, join, wrap
from diagtree.report.question import Asked, builds_open, number
from diagtree.report.scope_text import LEVEL_WORDS
from diagtree.report.walk import as_text, doubt
from diagtree.term.view import FIELD, Ending, View, choices, question
from diagtree.walk.marks import marks
from diagtree.walk.result import Result, believing
from diagtree.walk.warnings import due

Look: TypeAlias = Literal["plain", "title", "question", "pointed", "stop", "quiet", "refusal"]
_MOST_CAUSES = 4


@dataclass(frozen=True, slots=True)
class Row:
    """A line of cells."""

    text: str
    look: Look = "plain"
    place: int | None = None  # of the answer, or the field, that it belongs to


def body(view: View, columns: int, *, with_question: bool = False) -> tuple[Row, ...]:
    """What scrolls, wrapped to the columns."""
    found = question_rows(view, columns) if with_question and view.kind != "stop" else []
    match view.kind:
        case "stop":
            found += _stop(view, columns)
        case "end":
            found += _ended(view.ending, columns) if view.ending else []
        case "build":
            found += _build(view, columns)
        case "line":
            found += _line(view, columns)
        case _:
            asked = question(view)
            found += _asking(view, asked, columns) if asked else []
    return tuple(found) or (Row(""),)


def title(view: View) -> str:
    """Where we are: the trees gone through, and how many questions."""
    stops = view.session.route.stops
    trees = " > ".join(dict.fromkeys(stop.tree.title for stop in stops))
    where = "end" if view.kind == "end" else f"question {number(view.session)}"
    return f" {trees} | {where}"


def question_rows(view: View, columns: int) -> list[Row]:
    """The question large and first: bold, in a block of its own."""
    asked = question(view)
    titles = {"stop": "Before you go on", "build": "Which build is it?", "line": "Type a reply"}
    text = asked.ask if asked else titles.get(view.kind, "")
    return [Row(line, "question") for line in wrap(text, columns)]


def keys_shown(view: View) -> list[str]:
    """Every key that does something here."""
    taken_back = "{} back" if view.session.replies else ""
    build = "f build" if marks(view.session) else ""
    keys: dict[str, tuple[str, ...]] = {
        "stop": ("Enter I have read this", taken_back.format("b"), "q leave"),
        "pick": (
            f"Arrows or 1-{min(9, choices(view))} point",
            "Enter answer",
            "? cannot tell",
            taken_back.format("b"),
            build,
            ": type a reply",
            "q leave",
        ),
        "line": ("Enter reply", "Ctrl-U clear", "Ctrl-B as before", "Ctrl-Q leave"),
        "type": (
            "Type it, then Enter",
            "? cannot tell",
            taken_back.format("Ctrl-B"),
            "Ctrl-U clear",
            "Arrows read on",
            "Ctrl-Q leave",
        ),
        "build": (f"Arrows or 1-{min(9, choices(view))} point", "Enter this one", "b as before", "q leave"),
        "end": ("Arrows, PgUp, PgDn read on", taken_back.format("b"), ": type a reply", "q leave"),
    }
    return [key for key in (*keys[view.kind], "Ctrl-C stop") if key]


@lru_cache(maxsize=4)
def _ended(ending: Ending, columns: int) -> tuple[Row, ...]:
    """What the walk came to. Kept: a long scope takes longer to write out than a key may."""
    return tuple(Row(line) for line in as_text(ending.result, columns).splitlines())


def _asking(view: View, asked: Asked, columns: int) -> list[Row]:
    rows = [Row(line) for news in view.news for line in _hang("*", news, 2, columns)]
    rows += [Row(line) for about in asked.about for line in wrap(about, columns)]
    rows += [row for caution in asked.cautions for row in _caution(caution, columns)]
    rows += [Row("")] if rows else []
    rows += [row for place in range(len(asked.choices)) for row in _choice(view, asked, place, columns)]
    if asked.manner == "type":
        rows += [Row("")]
        rows += [Row(line) for line in wrap(asked.hint, columns)]
        rows += [_field(view, columns)]
    throughout = [row for caution in asked.throughout for row in _caution(caution, columns)]
    return [*rows, Row(""), *_possible(view, columns), *([Row("")] if throughout else []), *throughout]


def _choice(view: View, asked: Asked, place: int, columns: int) -> list[Row]:
    choice = asked.choices[place]
    if asked.manner == "type":
        return [Row(line, "quiet") for line in _hang(f"  {choice.id}", choice.text, 2 + _widest(asked) + 2, columns)]
    pointed = view.pointed == place
    mark = f"{'>' if pointed else ' '}{place + 1:>2} "
    look: Look = "pointed" if pointed else "plain"
    return [Row(line, look, place) for line in _hang(mark, choice.text, 5, columns)]


def _widest(asked: Asked) -> int:
    return min(20, max(cells(choice.id) for choice in asked.choices))


def _field(view: View, columns: int) -> Row:
    """The field's row: its end where it is longer than the pane."""
    shown = view.typed
    while shown and cells(shown) > columns - 4:
        shown = shown[1:]
    return Row(f"> {shown}", "pointed" if view.pointed == FIELD else "plain", FIELD)


def _possible(view: View, columns: int) -> Iterator[Row]:
    """What is still possible: the likeliest causes, and the builds."""
    session = view.session
    now = believing(session)
    for line in doubt(Result(session, now, None, None)):
        yield from (Row(piece, "stop") for piece in wrap(line, columns))
    if isinstance(now, Belief):
        lines = chances.as_lines(session.case.library, now.by_fault)[:_MOST_CAUSES]
        heading = f"Still possible, of cars like this ({chances.GROUND}):"
        yield from (Row(piece, "quiet") for piece in wrap(heading, columns))
        yield from (Row(piece, "quiet") for line in lines for piece in _hang("  ", line, 4, columns))
    for line in hint_lines(session):
        yield from (Row(piece, "quiet") for piece in wrap(line, columns))
    if len(session.known.builds) > 1:
        builds = f"Build: {join((build.id for build in session.known.builds), 'or')}."
        yield from (Row(piece, "quiet") for piece in wrap(builds, columns))


def _stop(view: View, columns: int) -> list[Row]:
    first, *_ = due(view.session)
    return [*_caution(first.caution, columns), Row(""), *(Row(line) for line in wrap(_notice(view), columns))]


def _notice(view: View) -> str:
    more = len(due(view.session)) - 1
    return f"{more} more to read." if more else ""


def _build(view: View, columns: int) -> list[Row]:
    rows = [Row(line) for tell in builds_open(view.session) for line in wrap(tell, columns)]
    for place, mark in enumerate(marks(view.session)):
        pointed = view.pointed == place
        look: Look = "pointed" if pointed else "plain"
        text = _hang(f"{'>' if pointed else ' '}{place + 1:>2} ", f"{mark.title}: {mark.value}", 5, columns)
        rows += [Row(line, look, place) for line in text]
    return rows


def _line(view: View, columns: int) -> list[Row]:
    said = (
        "again READING takes the last reading once more.",
        "CHECK=ANSWER answers any check, also one answered before.",
        "FEATURE=VALUE tells the build.",
    )
    rows = [Row(piece) for line in said for piece in wrap(line, columns)]
    return [*rows, Row(""), _field(view, columns)]


def _caution(caution: Caution, columns: int) -> list[Row]:
    look: Look = "stop" if caution.level == "stop" else "plain"
    return [Row(line, look) for line in _hang(f"{LEVEL_WORDS[caution.level]}:", caution.say, 9, columns)]


def _hang(head: str, text: str, indent: int, columns: int) -> list[str]:
    """`hang` where the pane has room for the indent, else one text."""
    return hang(head, text, indent, columns) if columns >= 2 * indent else wrap(f"{head.strip()} {text}", columns)
