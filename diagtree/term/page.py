"""What stands on the screen, in rows wrapped to its columns: the question, what is in its place, the keys. Pure."""

from diagtree.report.lines import wrap
from diagtree.report.question import builds_open, number
from diagtree.term.actions import ACTIONS, possible
from diagtree.term.asking import Room, asking, pointable
from diagtree.term.facts import sections
from diagtree.term.rows import Look, Row, caution_rows, field_row, hung, news_rows, section_rows, wrapped
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import FIELD, TYPING, View, choices, entries, question, read_key
from diagtree.walk.changes import to_note
from diagtree.walk.warnings import due

WORKING = "Being worked out ..."
_TITLES = {
    "stop": "Before you go on",
    "build": "Which build is it?",
    "answers": "Which answer shall be told anew?",
    "trees": "Go on in which tree?",
    "line": "Type a reply",
    "note": "Type a note",
    "menu": "All keys",
    "why": "Why this question",
    "change": "What would change the advice",
    "info": "Where we are",
    "help": "Help",
}
_SAID = (
    "An answer by its id, its number or as a reading.",
    "again READING takes the last reading once more.",
    "CHECK=ANSWER answers any check. FEATURE=VALUE tells the build.",
    "revise CHECK ANSWER, note TEXT, jump TREE, back.",
)
_HELP = (
    "A number answers at once. Arrows point, Enter answers what is pointed at. ? says that it cannot be told.",
    "A number that is held down only points: press it again.",
    "Before a STOP caution is passed it wants the key that it names; the key is another one each time.",
    "PgUp and PgDn read on. Tab shows all keys, also from a field in which letters are typed; Esc goes back.",
    "In a field: Ctrl-U clears it, Ctrl-B takes the last answer back, Ctrl-Q leaves.",
    "Ctrl-C stops at once, Ctrl-Z puts the walk aside, Ctrl-L draws the screen anew.",
    "What is pasted fills a field with its first line; it never answers.",
)


def body(view: View, room: Room, thoughts: Thoughts, *, with_question: bool = False) -> tuple[tuple[Row, ...], int]:
    """What scrolls, wrapped to the columns; and how many of its rows are to be seen without paging."""
    columns = room.columns
    above = question_rows(view, columns) if with_question and view.kind != "stop" else []
    asked = question(view)
    if asked:
        rows, wanted = asking(view, asked, room, thoughts)
        return (*above, *rows), len(above) + wanted
    match view.kind:
        case "stop":
            found = _stop(view, columns)
        case "end":
            found = [*news_rows(view.news, columns), *_ended(view, columns, thoughts)]
        case "list" | "menu":
            found = _list(view, columns)
        case "line" | "note":
            found = _line(view, columns)
        case "page":
            found = _page(view, columns, thoughts)
        case _:
            found = []
    return (*above, *found) or (Row(""),), 0


def title(view: View, thoughts: Thoughts) -> str:
    """Where we are: the trees gone through, how many questions, and where that stands on the poster."""
    stops = view.session.route.stops
    trees = " > ".join(dict.fromkeys(stop.tree.title for stop in stops))
    ended = view.session.check is None
    where = "end" if ended else f"question {number(view.session)}"
    here = thoughts.of("address", view.session) if thoughts.address else ()
    return f" {trees} | {where}{f' | {here[0]} on the poster' if here else ''}"


def question_rows(view: View, columns: int) -> list[Row]:
    """The question large and first: bold, in a block of its own."""
    asked = question(view)
    named = view.beside or view.kind
    text = asked.ask if asked else _TITLES.get("stop" if view.kind == "stop" else named, "")
    if view.beside == "values" and view.anew:
        feature = view.session.case.engine.features.get(view.anew.feature)
        text = feature.title if feature else "Which build is it?"
    return [Row(line, "question") for line in wrap(text, columns)]


def keys_shown(view: View, *, paged: bool = False) -> list[str]:
    """Every key that does something here, the most needed first. `paged`: how it is done stands on the next page."""
    numbers = f"1-{min(9, choices(view))}" if choices(view) > 1 else "1"
    back = "b back" if view.session.replies else ""
    acts = [f"{one.key} {one.short}" for one in possible(view.session) if one.key not in "bq"]
    closing = "Esc as before" if view.anew else ""
    match view.kind:
        case "stop":
            keys = [f"{read_key(view.session)} I have read this", "Arrows read on", back, "q quit"]
        case "pick" if view.anew:
            keys = [f"{numbers} answer", "? cannot tell", closing, "q quit"]
        case "pick":
            keys = [
                f"{numbers} answer",
                "? cannot tell",
                back,
                *(["PgDn how it is done"] if paged else []),
                "Arrows and Enter",
                *acts,
                *([] if paged else ["PgUp PgDn"]),
                "Tab all keys",
                "q quit",
            ]
        case "type":
            keys = ["Type it, Enter", "? cannot tell", "" if view.anew else "Tab all keys"]
            keys += [closing or ("Ctrl-B back" if back else ""), "Ctrl-U clear", "Arrows read on", "Ctrl-Q quit"]
        case "line" | "note":
            keys = ["Enter takes it", "Esc as before", "Ctrl-U clear", "Ctrl-Q quit"]
        case "list":
            noting = "n note on it" if view.beside == "answers" else ""
            keys = [f"{numbers} this one", "Arrows and Enter", noting, "Esc as before", "q quit"]
        case "menu":
            keys = ["The key, or arrows and Enter", "Esc as before"]
        case "page":
            keys = ["Arrows, PgUp, PgDn read on", "Esc as before", "Tab all keys", "q quit"]
        case _:
            keys = ["Arrows, PgUp, PgDn read on", back, *acts, "Tab all keys", "q quit"]
    return [key for key in (*keys, "Ctrl-C stop") if key]


def _ended(view: View, columns: int, thoughts: Thoughts) -> list[Row]:
    """What the walk came to; first in short, as a long scope takes longer to write out than a key may."""
    lines = thoughts.of("ending", view.session, str(columns))
    if lines is not None:
        return [Row(line) for line in lines]
    from diagtree.report.walk import standing_lines

    return [Row(piece) for line in (*standing_lines(view.session), WORKING) for piece in wrap(line, columns)]


def _stop(view: View, columns: int) -> list[Row]:
    first, *more = due(view.session)
    ahead = f"{len(more)} more to read." if more else ""
    rows = [*caution_rows(first.caution, columns), Row("")]
    said = f"Press {read_key(view.session)} when you have read this. {ahead}"
    return rows + [Row(line) for line in wrap(said, columns)]


def _list(view: View, columns: int) -> list[Row]:
    rows = (
        [Row(line) for tell in builds_open(view.session) for line in wrap(tell, columns)]
        if view.beside == "build"
        else []
    )
    if view.beside == "answers":
        rows += [Row(line) for line in wrap("What follows it is kept and replayed.", columns)]
    rows += [Row("")] if rows else []
    if view.beside != "menu":
        return rows + [row for at, text in enumerate(entries(view)) for row in pointable(view, at, text, columns)]
    for place, action in enumerate(possible(view.session)):
        pointed = view.pointed == place
        look: Look = "pointed" if pointed else "plain"
        head = f"{'>' if pointed else ' '} {action.key} "
        rows += [Row(line, look, place) for line in hung(head, action.says, 5, columns)]
    return rows


def _line(view: View, columns: int) -> list[Row]:
    said: tuple[str, ...] = _SAID
    if view.kind == "note":
        check = view.anew.check if view.anew else to_note(view.session)
        ask = view.session.case.library.checks[check].ask if check else ""
        before = view.session.known.notes.get(check, "")
        said = (f"On: {ask}", f"Now: {before}" if before else "")
    rows = [Row(piece) for line in said for piece in wrap(line, columns)]
    return [*rows, Row(""), field_row(view.typed, FIELD, columns, pointed=view.pointed == FIELD)]


def _page(view: View, columns: int, thoughts: Thoughts) -> list[Row]:
    match view.beside:
        case "why":
            return _thought(thoughts.of("why", view.session), columns)
        case "change":
            return _thought(thoughts.of("change", view.session), columns)
        case "help":
            keys = [piece for one in ACTIONS for piece in hung(f" {one.key}", f"{one.says}.", 4, columns)]
            return [*(Row(line) for line in keys), Row(""), *wrapped(_HELP, columns)]
        case _:
            return list(section_rows(sections(view.session, thoughts, columns), columns))


def _thought(lines: tuple[str, ...] | None, columns: int) -> list[Row]:
    return list(wrapped((WORKING,) if lines is None else lines, columns))


def is_typing(view: View) -> bool:
    """Whether letters go into a field."""
    return view.kind in TYPING
