"""Camshaft offsets against the tooth grid as an SVG drawing, for a sheet of paper: black, white and dashes only."""

from collections.abc import Iterator, Mapping
from xml.sax.saxutils import escape

from diagtree.measure.chain import degrees_per_tooth
from diagtree.model.engine import Timing
from diagtree.report.offsets import figure, teeth_shown

WIDTH, ROW, HEAD = 520, 26, 34  # user units
_LEFT, _RIGHT = 130, 430  # of the grid
_MOST_TEETH = 12  # that are marked one by one
_LONGEST_NAME = 16


def as_svg(timing: Timing, offsets: Mapping[str, float], uncertainty: float) -> str:
    """The drawing as SVG text: a row for each camshaft, its offset a dot, its uncertainty a bar.

    Args:
        timing: the drive.
        offsets: crank degrees by camshaft, at least one.
        uncertainty: expanded (k = 2), crank degrees.
    """
    return "\n".join(_lines(timing, offsets, uncertainty)) + "\n"


def _lines(timing: Timing, offsets: Mapping[str, float], uncertainty: float) -> Iterator[str]:
    height = HEAD + ROW * len(offsets) + 8
    tooth = degrees_per_tooth(timing.crank_teeth)
    teeth = teeth_shown(timing, offsets, uncertainty)
    said = "; ".join(f"{cam} {figure(degrees)} degrees" for cam, degrees in offsets.items())
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img"'
        ' aria-labelledby="offsets-title offsets-description" font-family="\'DejaVu Sans\',sans-serif" font-size="12">'
    )
    yield '<title id="offsets-title">Camshaft offsets against the tooth grid</title>'
    yield f'<desc id="offsets-description">{escape(said)}. Left is late.</desc>'
    marked = range(-teeth, teeth + 1) if teeth <= _MOST_TEETH else (-teeth, 0, teeth)
    for number in marked:
        yield from _tooth(number, number / teeth, height)
    for at, (cam, degrees) in enumerate(offsets.items()):
        yield from _row(cam, degrees, HEAD + ROW * at + ROW / 2, (degrees, uncertainty, teeth * tooth))
    yield "</svg>"


def _tooth(number: int, share: float, height: int) -> Iterator[str]:
    across = _across(share)
    pen = 'stroke-width="0.6" stroke-dasharray="3 3"' if number else 'stroke-width="1.2"'
    yield f'<path d="M{across:.1f} {HEAD - 6}V{height - 6}" stroke="#000" {pen}/>'
    name = f"{number:+d}" if number else "0"
    yield f'<text x="{across:.1f}" y="{HEAD - 14}" text-anchor="middle">{name}</text>'


def _row(cam: str, degrees: float, middle: float, scale: tuple[float, float, float]) -> Iterator[str]:
    offset, uncertainty, reach = scale
    first, last = (_across((offset + way * uncertainty) / reach) for way in (-1, 1))
    name = cam if len(cam) <= _LONGEST_NAME else f"{cam[: _LONGEST_NAME - 1]}~"
    yield f'<text x="{_LEFT - 12}" y="{middle + 4:.1f}" text-anchor="end">{escape(name)}</text>'
    yield f'<path d="M{first:.1f} {middle:.1f}H{last:.1f}" stroke="#000" stroke-width="3"/>'
    yield f'<circle cx="{_across(offset / reach):.1f}" cy="{middle:.1f}" r="5"/>'
    yield f'<text x="{_RIGHT + 12}" y="{middle + 4:.1f}">{figure(degrees)} deg</text>'


def _across(share: float) -> float:
    """Where a share of the reach lies, -1 to 1 and no further."""
    return (_LEFT + _RIGHT) / 2 + max(-1.0, min(1.0, share)) * (_RIGHT - _LEFT) / 2
