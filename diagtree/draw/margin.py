"""The letters and numbers around a drawing's field, by which a box is found."""

from collections.abc import Iterator

from diagtree.draw.grid import Grid
from diagtree.draw.picture import Box, Line
from diagtree.draw.setting import SIZES, Part, set_parts
from diagtree.draw.shape import Extent

_STRIP = 9.0  # width of the strip around the field that they stand in
_AWAY = 1.5  # between the field and the strip
_TICK = 4.0


def grid_marks(grid: Grid) -> tuple[tuple[Box, ...], tuple[Line, ...]]:
    """A box for each letter, above and below, and for each number, on either side; ticks between cells.

    Measured from the field's top left corner.
    """
    return tuple(_names(grid)), tuple(_ticks(grid))


def _names(grid: Grid) -> Iterator[Box]:
    for name, x in grid.letters():
        for side, y in (("top", -_AWAY - _STRIP), ("bottom", grid.height + _AWAY)):
            yield _name(f"grid-{side}-{name}", name, Extent(x - _STRIP, y, 2 * _STRIP, _STRIP))
    for name, y in grid.numbers():
        for side, x in (("left", -_AWAY - _STRIP), ("right", grid.width + _AWAY)):
            yield _name(f"grid-{side}-{name}", name, Extent(x, y - _STRIP / 2, _STRIP, _STRIP))


def _name(name: str, text: str, room: Extent) -> Box:
    size = SIZES.heading if len(text) < 3 else SIZES.small
    words = set_parts((Part(text, "heading", size, bold=True),), 3 * _STRIP).centred(*room.centre)
    return Box(name, "grid", "panel", room, words, border="none")


def _ticks(grid: Grid) -> Iterator[Line]:
    for at in range(1, grid.columns):
        x = at * grid.width / grid.columns
        yield _tick((x, -_AWAY - _TICK), (x, -_AWAY))
        yield _tick((x, grid.height + _AWAY), (x, grid.height + _AWAY + _TICK))
    for at in range(1, grid.rows):
        y = at * grid.height / grid.rows
        yield _tick((-_AWAY - _TICK, y), (-_AWAY, y))
        yield _tick((grid.width + _AWAY, y), (grid.width + _AWAY + _TICK, y))


def _tick(start: tuple[float, float], end: tuple[float, float]) -> Line:
    return Line("", "", "", ((start, start, end, end),), None, pen=0.5)
