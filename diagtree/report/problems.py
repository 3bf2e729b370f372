"""Problems as people and programs read them."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

from diagtree.model.problem import Problem

if TYPE_CHECKING:  # numpy stays out of `vet` without costs
    from diagtree.reason.costing import Cost

_TAB = 4  # cells; a tab is shown as blanks so that the caret stands under the right ones
_WIDEST = 110  # cells of a source line that are shown
_NEAR = 1000  # characters on either side of a place, more than can be shown


def as_json(problems: Sequence[Problem], costs: "Iterable[Cost]" = ()) -> str:
    """`{problems: [...], trees: {tree: {engine: {build: {...}}}}}`, in the order of the files."""
    trees: dict[str, dict[str, dict[str, dict[str, float | bool]]]] = {}
    for cost in costs:
        figures = {"walk_cost": cost.walk, "best_cost": cost.best, "bound": cost.bound, "exact": cost.exact}
        trees.setdefault(cost.tree, {}).setdefault(cost.engine, {})[cost.build] = figures
    return json.dumps({"problems": [asdict(problem) for problem in problems], "trees": trees}, indent=2) + "\n"


def costs_text(costs: "Iterable[Cost]", currency: str) -> str:
    """A line for each tree and build: the walk, the best, how much dearer the walk is, and how sure that is."""
    rows = list(costs)
    if not rows:
        return ""
    names = [f"{cost.tree}, {cost.engine} {cost.build}" for cost in rows]
    widest = max(map(len, names))
    lines = [f"What a walk costs on average, come-backs among it, in {currency}:"]
    for name, cost in zip(names, rows, strict=True):
        share = 100 * (cost.walk / cost.best - 1) if cost.best else 0.0
        least = "" if cost.exact else f" (no order can be below {cost.bound:.2f})"
        lines.append(f"  {name:{widest}}  {cost.walk:10.2f}  best order {cost.best:10.2f}{least}: {share:+.1f} %")
    return "\n".join(lines) + "\n"


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
    start = problem.column - 1
    end = problem.end_column - 1 if problem.end_line == problem.line else len(line)
    if start > _NEAR:  # of a line without end, only what is near the place is looked at
        line, start, end = line[start - _NEAR :], _NEAR, end - start + _NEAR
    line = line[: start + _NEAR]
    before = _cells(line[:start])
    under = max(1, sum(_width(_shown(c)) for c in line[start:end]))
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
