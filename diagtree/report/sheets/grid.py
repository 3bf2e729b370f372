"""Camshaft offsets against the tooth grid: drawn where they are known, else a grid to draw into."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagtree.measure.chain import degrees_per_tooth
from diagtree.model.engine import Timing
from diagtree.report.offsets import figure, teeth_shown
from diagtree.report.sheets.blocks import Group, Piece, text
from diagtree.report.sheets.marks import Disc, Mark, Span, Stroke
from diagtree.report.sheets.setting import LABEL, STRONG, TEXT, fill, line, lines, width

_TEETH = 2  # either way, of an empty grid: a chain seldom jumps further and still turns an engine
_MOST_TEETH = 12  # that are marked one by one
_ROW = 24.0
_HEAD = 14.0
_NAME, _VALUE = 100.0, 170.0  # room beside the grid


@dataclass(frozen=True, slots=True)
class _Scale:
    """Crank degrees across the page, no offset in the middle."""

    span: Span
    teeth: int  # either way
    tooth: float  # crank degrees

    def across(self, degrees: float) -> float:
        """Where an angle stands, within the grid."""
        share = max(-1.0, min(1.0, degrees / (self.teeth * self.tooth)))
        return self.span.left + (1 + share) * self.span.room / 2

    @property
    def marked(self) -> list[int]:
        """The teeth that have a line."""
        return list(range(-self.teeth, self.teeth + 1)) if self.teeth <= _MOST_TEETH else [-self.teeth, 0, self.teeth]


def grid(timing: Timing, offsets: Mapping[str, float], uncertainty: float, span: Span) -> Group:
    """A row for each camshaft, its offset a dot, its uncertainty a bar; blanks where it was not read.

    Args:
        timing: the drive.
        offsets: crank degrees by camshaft; empty where none were read.
        uncertainty: expanded (k = 2), crank degrees.
        span: of the sheet's text.
    """
    tooth = degrees_per_tooth(timing.crank_teeth)
    teeth = teeth_shown(timing, offsets, uncertainty) if offsets else _TEETH
    scale = _Scale(Span(span.left + _NAME, span.room - _NAME - _VALUE), teeth, tooth)
    legend = f"Dashed: a tooth of the crank sprocket more or less ({figure(tooth)} crank degrees). Left is late."
    head = _head(scale)
    rows = [_row(cam, scale, span, offsets.get(cam), uncertainty) for cam in timing.cams]
    return Group((head, *rows, *text(legend, LABEL, span, above=2)), again=(head,), whole=True)


def _head(scale: _Scale) -> Piece:
    marks: list[Mark] = []
    for number in scale.marked:
        said = f"{number:+d}" if number else "0"
        wide = width(said, LABEL)
        marks.append(line(said, LABEL, Span(scale.across(number * scale.tooth) - wide / 2, wide), 2))
    marks.append(line("teeth", LABEL, Span(scale.span.right + 16, _VALUE - 16), 2))
    return Piece(_HEAD, tuple(marks), stays=True)


def _row(cam: str, scale: _Scale, span: Span, degrees: float | None, uncertainty: float) -> Piece:
    named = fill(cam, TEXT, _NAME - 14)
    high = max(_ROW, len(named) * TEXT.leading + 4)
    middle = high / 2
    marks: list[Mark] = [_tooth(scale, number, high) for number in scale.marked]
    marks += lines(named, TEXT, Span(span.left, _NAME - 14), middle - len(named) * TEXT.leading / 2)
    value = Span(scale.span.right + 16, _VALUE - 84)
    if degrees is None:
        marks.append(Stroke(value.left, middle + 4, value.left + 38, middle + 4, 0.5))
        marks.append(line("deg found", LABEL, value.indented(41), middle - TEXT.leading / 2 + 1))
    else:
        ends = [scale.across(degrees + way * uncertainty) for way in (-1, 1)]
        marks.append(Stroke(ends[0], middle, ends[1], middle, 2.4))
        marks.append(Disc(scale.across(degrees), middle, 4.2))
        marks.append(line(f"{figure(degrees)} deg", STRONG, value, middle - STRONG.leading / 2))
    marks.append(Stroke(span.right - 62, middle + 4, span.right - 26, middle + 4, 0.5))
    marks.append(line("after", LABEL, Span(span.right - 23, 23), middle - TEXT.leading / 2 + 1))
    return Piece(high, tuple(marks))


def _tooth(scale: _Scale, number: int, high: float) -> Stroke:
    at = scale.across(number * scale.tooth)
    return Stroke(at, 0, at, high, 0.5 if number else 1.0, dashed=bool(number))
