"""Problems as people and programs read them."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from diagtree.model.problem import Problem

_TAB = 4  # cells; a tab is shown as blanks so that the caret stands under the right ones
_WIDEST = 110  # cells of a source line that are shown


def as_json(problems: Sequence[Problem]) -> str:
    """`{problems: [...], trees: {}}`, in the order of the files."""
    return json.dumps({"problems": [asdict(problem) for problem in problems], "trees": {}}, indent=2) + "\n"


def as_text(problems: Sequence[Problem], texts: Mapping[str, str], *, summary: bool = False) -> str:
    """Each problem with its line and a caret under it; then, with `summary`, how many there are."""
    lines: dict[str, list[str]] = {}
    shown = []
    for problem in problems:
        if problem.file not in lines:
            lines[problem.file] = texts.get(problem.file, "").split("\n")
        shown.append(_one(problem, lines[problem.file]))
    if summary:
        shown.append(_count(problems))
    return "".join(shown)


def _one(problem: Problem, lines: Sequence[str]) -> str:
    where = f"{problem.file}:{problem.line}:{problem.column}"
    text = f"{where}: {problem.severity}: {problem.message} [{problem.rule}]\n"
    if problem.line <= len(lines) and lines[problem.line - 1].strip():
        text += _caret(lines[problem.line - 1], problem)
    if problem.help:
        text += f"help: {problem.help}\n"
    return text


def _caret(line: str, problem: Problem) -> str:
    before = _cells(line[: problem.column - 1])
    end = problem.end_column if problem.end_line == problem.line else len(line) + 1
    under = max(1, sum(_width(_shown(c)) for c in line[problem.column - 1 : end - 1]))
    written = "".join(_shown(c) for c in line.rstrip("\r"))
    cut = 0
    if before > _WIDEST - 30:  # a long line is shown from a little before the place
        cut = _at_cell(written, before - 30)
        before -= _cells_of(written[:cut])
        written, before = "…" + written[cut:], before + 1
    kept = _at_cell(written, _WIDEST)
    if kept < len(written):
        written = written[:kept] + "…"
    return f"  {written}\n  {' ' * before}{'^' * min(under, _WIDEST)}\n"


def _shown(character: str) -> str:
    if character == "\t":
        return " " * _TAB
    return character if character.isprintable() else " "


def _width(text: str) -> int:
    if text.isascii():
        return len(text)
    from wcwidth import wcswidth

    return max(0, int(wcswidth(text)))


def _cells(text: str) -> int:
    return sum(_width(_shown(c)) for c in text)


def _cells_of(text: str) -> int:
    return sum(_width(c) for c in text)


def _at_cell(text: str, cells: int) -> int:
    """How many characters fit in so many cells."""
    used = 0
    for at, character in enumerate(text):
        used += _width(character)
        if used > cells:
            return at
    return len(text)


def _count(problems: Sequence[Problem]) -> str:
    if not problems:
        return "No problem found.\n"
    errors = sum(problem.severity == "error" for problem in problems)
    warnings = len(problems) - errors
    parts = [
        f"{number} {word}{'s' * (number != 1)}" for number, word in ((errors, "error"), (warnings, "warning")) if number
    ]
    return f"{' and '.join(parts)}.\n"
