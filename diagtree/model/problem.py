"""Something for a tree author to put right, and where it stands."""

from dataclasses import dataclass
from typing import Literal, NamedTuple, Protocol, TypeAlias

Severity: TypeAlias = Literal["error", "warning"]


class Place(NamedTuple):
    """A span of a file. Lines and columns from 1, in characters; the end column is the first one after the span."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int


NOWHERE = Place("", 1, 1, 1, 1)


class Origin(Protocol):
    """Where an entry of a library was read, down to each key and value inside it."""

    def key(self, *path: str | int) -> Place:
        """The place of the key (or list item) that `path` leads to; the nearest one above it where it is absent."""

    def value(self, *path: str | int) -> Place:
        """The place of the value that `path` leads to; the nearest one above it where it is absent."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing for a tree author to put right.

    The order of the fields is the order of a report: by file, then down the page.
    """

    file: str
    line: int  # from 1, as editors count
    column: int  # from 1, in characters
    end_line: int
    end_column: int  # the first column after the span
    rule: str  # the module in `rules` whose docstring explains it
    message: str  # what is wrong, then what to do; no Python words
    severity: Severity = "error"
    help: str = ""  # a statement that names the cure, such as the nearest id


def problem(place: Place, rule: str, message: str, *, hint: str = "", severity: Severity = "error") -> Problem:
    """A problem at a place."""
    return Problem(*place, rule, message, severity, hint)
