"""A walk line by line: the question, the answers and what was taken, in plain characters."""

from collections.abc import Iterable

from diagtree.model.fault import Caution
from diagtree.report.lines import COLUMNS, cells, hang, wrap
from diagtree.report.question import Asked
from diagtree.report.scope_words import LEVEL_WORDS

CANNOT_TELL = "cannot tell"


def head(title: str, covers: str, notice: str) -> list[str]:
    """What stands above the first question."""
    return [f"{title}{f' ({covers})' if covers else ''}", notice]


def question(asked: Asked, number: int, columns: int = COLUMNS) -> list[str]:
    """A question with its answers. `stop` cautions are not in it: they come before it, by `stop`."""
    lines = ["", f"{number}. {asked.ask}", *(f"   {line}" for line in asked.about)]
    lines += [f"   {caution(one)}" for one in asked.cautions if one.level != "stop"]
    width = max(len(choice.id) for choice in asked.choices)
    for place, choice in enumerate(asked.choices, start=1):
        mark = f"{place:>4}" if asked.manner == "pick" else "   -"
        beside = f"{mark}  {choice.id:<{width}}"
        narrow = len(beside) < columns // 2
        lines += hang(beside, choice.text, len(beside) + 2, columns) if narrow else [f"{beside}  {choice.text}"]
    if asked.may_skip:
        lines.append(f"   ?  {CANNOT_TELL}")
    if asked.hint:
        lines.append(f"   {asked.hint}")
    return lines


def fold(lines: Iterable[str], columns: int = COLUMNS) -> str:
    """Lines as text, each wrapped under its own beginning."""
    return "".join(f"{piece}\n" for line in lines for piece in _fold(line, columns))


def _fold(line: str, columns: int) -> list[str]:
    if cells(line) <= columns:
        return [line]
    margin = " " * (len(line) - len(line.lstrip(" ")))
    return [margin + piece for piece in wrap(line, columns - len(margin))] or [""]


def caution(one: Caution) -> str:
    """A caution in a line."""
    return f"{caution_words(one)}: {one.say}"


def caution_words(one: Caution) -> str:
    """The word for how grave it is."""
    return LEVEL_WORDS[one.level]
