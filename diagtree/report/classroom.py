"""The sheet of results of a class, as text, CSV and data."""

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from diagtree.model.library import NOTICE
from diagtree.practice.classroom import Row
from diagtree.report.lines import COLUMNS, cells, pad, wrap

_HEADS = ("name", "cars", "mended", "failed", "hours", "cost", "beyond the best")
# A spreadsheet takes a cell that begins so for a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_text(rows: Iterable[Row], currency: str, left: int, columns: int = COLUMNS) -> str:
    """A line for each trainee, the best first."""
    table = [_HEADS, *(_cells(row) for row in rows)]
    wide = [max(cells(line[at]) for line in table) for at in range(len(_HEADS))]
    wide[0] = max(4, min(wide[0], columns - sum(wide[1:]) - 2 * len(wide)))
    unit = f", in {currency}" if currency else ""
    told = f"Means a car{unit}. Beyond the best: what the choices cost on average beyond the best ones at that moment;"
    after = [f"{left} more {'drills are' if left > 1 else 'drill is'} to be done."] if left else []
    lines = [*(_line(line, wide) for line in table), "", *wrap(f"{told} luck does not count.", columns), *after]
    return "\n".join(lines) + "\n"


def as_csv(rows: Iterable[Row]) -> str:
    """The same for a spreadsheet; a name that it would take for a formula gets an apostrophe."""
    target = io.StringIO()
    writer = csv.writer(target)
    writer.writerow(_HEADS)
    for row in rows:
        name, *figures = _cells(row)
        writer.writerow([f"'{name}" if name.startswith(_FORMULA) else name, *figures])
    return target.getvalue()


def as_data(rows: Iterable[Row], currency: str, left: int) -> dict[str, Any]:
    """The same as data; `left`: how many drills are still to be done."""
    return {"class": [asdict(row) for row in rows], "left": left, "currency": currency, "notice": NOTICE}


def _cells(row: Row) -> tuple[str, ...]:
    counts = (str(row.cars), str(row.mended), str(row.failed))
    return (row.name, *counts, f"{row.hours:.1f}", f"{row.total:.2f}", f"{row.regret:.2f}")


def _line(line: tuple[str, ...], wide: list[int]) -> str:
    name = wrap(line[0], wide[0])[0]
    return "  ".join((pad(name, wide[0]), *(pad(line[at], wide[at], right=True) for at in range(1, len(wide)))))
