"""Pieces put on pages: nothing is cut, no heading is left behind, heads of tables stand again."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from diagtree.report.sheets.blocks import Group, Piece
from diagtree.report.sheets.marks import Mark

_SMALL = 0.45  # of a page: a group that is higher is broken rather than leave so much white


@dataclass(slots=True)
class _Pages:
    """Pages as they fill up."""

    high: float
    pages: list[list[Mark]] = field(default_factory=lambda: [[]])
    down: float = 0.0

    @property
    def left(self) -> float:
        return self.high - self.down

    def put(self, piece: Piece) -> None:
        self.pages[-1] += (mark.moved(0, self.down) for mark in piece.marks)
        self.down += piece.height

    def turn(self) -> None:
        if self.down:
            self.pages.append([])
            self.down = 0.0


def paginate(groups: Iterable[Group], high: float) -> tuple[tuple[Mark, ...], ...]:
    """The marks of each page, from the top left corner of its text.

    Args:
        groups: in order. What is bound to its follower across two groups stays with it.
        high: what a page holds, in points. A single piece that is higher stands alone and runs over: `blocks` makes
            none that any paper could not hold.
    """
    made = _Pages(high)
    for group, runs in _runs(groups):
        _put(made, group, runs)
    return tuple(tuple(page) for page in made.pages)


def _runs(groups: Iterable[Group]) -> Iterator[tuple[Group, list[list[Piece]]]]:
    """Each group with its pieces in runs that are bound together; a heading joins the group that follows."""
    held: list[Piece] = []
    for group in groups:
        runs: list[list[Piece]] = [held]
        held = []
        for piece in group.pieces:
            runs[-1].append(piece)
            if not piece.stays:
                runs.append([])
        if runs[-1]:
            held = runs[-1]
        if runs[:-1]:
            yield group, runs[:-1]
    if held:
        yield Group(tuple(held)), [held]


def _put(made: _Pages, group: Group, runs: Sequence[list[Piece]]) -> None:
    whole = sum(_height(run) for run in runs)
    if group.whole and made.left < whole <= _SMALL * made.high:
        made.turn()
    for number, run in enumerate(runs):
        high = _height(run)
        if high > made.left:
            made.turn()
            if number and _height(group.again) + high <= made.high:
                for piece in group.again:
                    made.put(piece)
        for piece in run:
            if piece.height > made.left:
                made.turn()
            made.put(piece)


def _height(pieces: Iterable[Piece]) -> float:
    return sum(piece.height for piece in pieces)
