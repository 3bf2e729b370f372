"""Numbers of a file replaced where they stand: every other byte of it stays.

A library that writes YAML anew would fold lines, change quotes and move comments. The places of all values are known
from reading, so nothing is written but the number.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from diagtree.model.problem import Place

# What ends a line for YAML, and so for the places.
_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
# What may be replaced: a number, or a word of a table, in quotes or not.
_PLAIN = re.compile(r"""(["']?)([-+]?\.?[0-9][0-9_.eE+-]*|[a-z]+(-[a-z]+)*)\1""")


@dataclass(frozen=True, slots=True)
class Edit:
    """A number to be written in the place of what stands there."""

    place: Place
    number: float


def patched(text: str, edits: Iterable[Edit]) -> str | None:
    """The text with these numbers; None where one of the places does not hold a plain number or word any more."""
    starts = [0, *(found.end() for found in _END.finditer(text))]
    spans = sorted((*_span(starts, edit.place), edit.number) for edit in edits)
    parts, at = [], 0
    for start, end, number in spans:
        if start < at or end > len(text) or not _PLAIN.fullmatch(text[start:end]):
            return None
        parts += [text[at:start], written(number)]
        at = end
    return "".join([*parts, text[at:]])


def stands(text: str, place: Place) -> bool:
    """Whether a number, or a word of a table, stands there that can be replaced."""
    return patched(text, [Edit(place, 0.0)]) is not None


def written(number: float) -> str:
    """A number as an author writes it: no exponent, no needless zero."""
    whole = format(Decimal(repr(number)), "f")
    if "." in whole:
        whole = whole.rstrip("0").rstrip(".")
    return "0" if whole == "-0" else whole


def _span(starts: list[int], place: Place) -> tuple[int, int]:
    if max(place.line, place.end_line) > len(starts):
        return -1, -1
    return starts[place.line - 1] + place.column - 1, starts[place.end_line - 1] + place.end_column - 1
