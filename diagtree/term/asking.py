"""A question's own rows on a screen, and what gives way where they have no room. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from diagtree.report.lines import cells, wrap
from diagtree.report.question import Asked
from diagtree.term.facts import Kind, Section, likeliest, sections
from diagtree.term.rows import Look, Row, caution_rows, field_row, hung, news_rows, section_rows
from diagtree.term.thoughts import Thoughts
from diagtree.term.view import FIELD, View, check_asked

# What is still possible, and the advice: all of it, the likeliest in rows, in a sentence, in a line; not there.
Glance: TypeAlias = Literal["full", "rows", "said", "brief", ""]
_LIKELY = 3  # causes seen at a glance
_ADVICE = 2  # rows kept for the advice while it is worked out, so that nothing moves when it is there
_SHORT: dict[Glance, int] = {"said": 2, "brief": 1}  # rows that the likeliest may take


@dataclass(frozen=True, slots=True)
class Plan:
    """What of a question has room on a screen."""

    glance: Glance = "full"
    title: bool = True  # where we are
    above: bool = True  # a blank row above the question
    under: bool = True  # and one under it
    gaps: bool = True  # between the blocks
    how: bool = True  # how it is done comes before the answers
    keys: int = 9  # rows of keys, at most
    notes: bool = True  # cautions that only note something come before the answers too


# Tried in turn, until question, answers and what is seen at a glance are on the screen. Warnings always come first.
PLANS = (
    Plan(),
    Plan("rows"),
    Plan("rows", above=False),
    Plan("said", above=False),
    Plan("said", above=False, keys=2),
    Plan("brief", above=False, keys=2),
    Plan("brief", above=False, under=False, keys=2),
    Plan("brief", above=False, under=False, gaps=False, keys=2),
    Plan("rows", above=False, how=False),
    Plan("said", above=False, how=False, keys=2),
    Plan("brief", above=False, under=False, gaps=False, how=False, keys=2),
)
# Where a column of its own holds all that, or there is no room for it: then for question and answers alone.
BARE = (
    Plan(""),
    Plan("", how=False),
    Plan("", above=False, how=False, keys=2),
    Plan("", above=False, under=False, gaps=False, how=False, keys=2),
    Plan("", above=False, under=False, gaps=False, how=False, keys=1, notes=False),
    Plan("", title=False, above=False, under=False, gaps=False, how=False, keys=1, notes=False),
)


@dataclass(frozen=True, slots=True)
class Room:
    """Where a question stands."""

    columns: int
    airy: bool = False  # whether there is room for blank rows between answers
    beside: bool = False  # whether what is possible, and so on, stands in a column of its own
    plan: Plan = PLANS[0]


def asking(view: View, asked: Asked, room: Room, thoughts: Thoughts) -> tuple[list[Row], int]:
    """A question's rows, cautions first of all; and how many of them are to be seen without paging."""
    columns, plan = room.columns, room.plan
    early, late = _cautions(view, asked, columns, notes=plan.notes)
    news, about = news_rows(view.news, columns), _about(asked, columns, joined=plan.glance in _SHORT)
    answers = _answers(view, asked, room, thoughts)
    known = [] if room.beside or view.anew else list(sections(view.session, thoughts, columns))
    glance, spare = _glance(view, known, columns, plan.glance)
    spare += int(asked.manner == "type" and not view.typed.strip())  # what is typed will be told below the field
    further = list(section_rows((one for one in known if not _seen(one, plan.glance)), columns))
    if plan.how:
        return _blocks([[*news, *about, *early], answers, glance], [late, further], spare, gaps=plan.gaps)
    return _blocks([[*news, *early], answers, glance], [about, late, further], spare, gaps=plan.gaps)


def _blocks(seen: list[list[Row]], behind: list[list[Row]], spare: int, *, gaps: bool) -> tuple[list[Row], int]:
    rows: list[Row] = []
    for block in seen:
        rows += [*([Row("")] if gaps and rows and block else []), *block]
    wanted = len(rows) + spare
    for block in behind:
        rows += [*([Row("")] if rows and block else []), *block]
    return rows, wanted


def _cautions(view: View, asked: Asked, columns: int, *, notes: bool) -> tuple[list[Row], list[Row]]:
    """Those above the answers, and those below: what stands throughout is read with the first question, and of that
    a `stop` was read before it.
    """
    first = not view.session.replies
    early = [*(one for one in asked.throughout if first and one.level != "stop"), *asked.cautions]
    early = [one for one in early if notes or one.level != "note"]
    late = [one for one in (*asked.cautions, *asked.throughout) if one not in early]
    above, below = ([row for one in found for row in caution_rows(one, columns)] for found in (early, late))
    return above, below


def _about(asked: Asked, columns: int, *, joined: bool) -> list[Row]:
    """How it is done: each remark on rows of its own, or `joined` into one text."""
    told = (" ".join(asked.about),) if joined else asked.about
    return [Row(line) for one in told for line in wrap(one, columns)]


def _seen(section: Section, glance: Glance) -> bool:
    """Whether the glance holds all of a section."""
    if section.kind == "possible":
        return glance == "full" or (glance == "rows" and len(section.lines) <= _LIKELY)
    return bool(glance) and section.kind in {"doubt", "advice"} and glance != "brief"


def _glance(view: View, known: Iterable[Section], columns: int, glance: Glance) -> tuple[list[Row], int]:
    """What is seen at a glance, and how many more rows it may yet take."""
    if not glance:
        return [], 0
    first: dict[Kind, Section] = {one.kind: one for one in known if one.kind in {"doubt", "possible", "advice"}}
    if glance == "full":
        spare = _ADVICE - len(_advised(first, columns)) if "advice" in first else 0
        return list(section_rows(first.values(), columns)), max(0, spare)
    advice = _advised(first, columns, brief=glance == "brief")
    spare = max(0, _ADVICE - len(advice)) if advice and glance != "brief" else 0
    doubt = list(section_rows([first["doubt"]], columns)) if "doubt" in first else []
    if glance == "rows":
        some = [replace(first["possible"], lines=first["possible"].lines[:_LIKELY])] if "possible" in first else []
        return [*doubt, *section_rows(some, columns), *advice], spare
    return [*doubt, *_likeliest(view, columns, _SHORT[glance]), *advice], spare


def _advised(known: Mapping[Kind, Section], columns: int, *, brief: bool = False) -> list[Row]:
    """The advice without its heading."""
    if "advice" not in known:
        return []
    section = known["advice"]
    told = section.brief if brief else " ".join(line.text for line in section.lines)
    return [Row(line) for line in wrap(told, columns)]


def _likeliest(view: View, columns: int, most: int) -> list[Row]:
    """As many of the likeliest causes as go into so many rows, at least one of them."""
    found = likeliest(view.session, _LIKELY)
    for many in range(len(found), 0, -1):
        lines = wrap(f"Likeliest: {'; '.join(found[:many])}.", columns)
        if len(lines) <= most or many == 1:
            return [Row(line) for line in lines]
    return []


def _answers(view: View, asked: Asked, room: Room, thoughts: Thoughts) -> list[Row]:
    rows: list[Row] = []
    pick = asked.manner == "pick"
    for place in range(len(asked.choices)):
        rows += [Row("")] if room.airy and pick and rows else []
        rows += _choice(view, asked, place, room.columns)
    if pick:
        return rows
    field = [*(Row(line) for line in wrap(asked.hint, room.columns)), *_field(view, room.columns, thoughts)]
    return [*field, *([Row("")] if room.plan.gaps else []), *rows]


def _choice(view: View, asked: Asked, place: int, columns: int) -> list[Row]:
    choice = asked.choices[place]
    if asked.manner == "type":
        return [Row(line, "quiet") for line in hung(f"  {choice.id}", choice.text, 2 + _widest(asked) + 2, columns)]
    return pointable(view, place, choice.text, columns)


def pointable(view: View, place: int, text: str, columns: int) -> list[Row]:
    """Something that can be pointed at, with its number."""
    pointed = view.pointed == place
    mark = f"{'>' if pointed else ' '}{f'{place + 1:>2}' if place < 9 else '  '} "
    look: Look = "pointed" if pointed else "plain"
    return [Row(line, look, place) for line in hung(mark, text, 5, columns)]


def _widest(asked: Asked) -> int:
    return min(20, max(cells(choice.id) for choice in asked.choices))


def _field(view: View, columns: int, thoughts: Thoughts) -> list[Row]:
    """The field, its end where it is longer than the pane; and what it would be taken for."""
    rows = [field_row(view.typed, FIELD, columns, pointed=view.pointed == FIELD)]
    if view.kind == "type" and view.typed.strip():
        detail = f"{check_asked(view)} {view.typed.strip()}"
        taken = thoughts.of("reading", view.session, detail) or ("",)
        rows += [Row(piece, "heading") for line in taken for piece in wrap(f"= {line}" if line else "", columns)]
    return rows
