"""A trace of the sensors for people: where the edges stand against the good ones, in plain characters and as SVG."""

from collections.abc import Iterable, Iterator, Mapping
from math import ceil
from typing import Any
from xml.sax.saxutils import escape

from diagtree.measure.camshafts import CYCLE, Good, Place
from diagtree.measure.tracing import Kept, Traced
from diagtree.report.lines import COLUMNS, cells, pad

_LONGEST_NAME = 16  # cells of a camshaft's id
_NARROWEST, _WIDEST = 24, 73  # cells of a cycle
_WIDTH, _ROW, _HEAD, _LEFT, _RIGHT = 640, 46, 40, 130, 610  # user units of the drawing
_STEP = 180  # crank degrees between the marks of a cycle


def as_data(traced: Traced) -> dict[str, Any]:
    """The trace with ids as in the files: crank degrees, turns per minute."""
    return {
        "turns": traced.turns,
        "rpm": {"slowest": traced.slowest, "fastest": traced.fastest},
        "edge": traced.edge or None,
        "camshafts": {name: _place(place) for name, place in traced.places.items()},
        "uncertainty": traced.uncertainty,
        "doubts": list(traced.doubts),
    }


def _place(place: Place) -> dict[str, Any]:
    return {
        "offset": place.offset,
        "uncertainty": place.uncertainty,
        "low": place.offset - place.uncertainty,
        "high": place.offset + place.uncertainty,
        "readings": place.readings,
        "edges": list(place.edges),
        "good": list(place.good),
        "other_way": place.other_way,
        "uneven": place.uneven,
    }


def as_lines(traced: Traced, columns: int = COLUMNS) -> list[str]:
    """What the trace shows, in lines of at most `columns` cells but for sentences."""
    speed = f"{traced.slowest:.0f} to {traced.fastest:.0f} rpm"
    head = f"Trace of {traced.turns} crank turns at {speed}, against a good engine. In crank degrees, above 0 early;"
    lines = [f"{head} 95 of 100 such intervals hold the true offset:"]
    wide = max(map(len, traced.places))
    lines += [
        f"  {pad(name, wide)}  {sure(place)}, from {place.readings} edges" for name, place in traced.places.items()
    ]
    drawn = strips(traced.places, columns - 2)
    lines += ["", *(f"  {line}" for line in drawn)] if drawn else []
    return lines + [piece for doubt in traced.doubts for piece in ("", f"Mind: {doubt}")]


def sure(place: Place) -> str:
    """'-4.03 +-0.12': the uncertainty rounded up at its second digit, the offset to the same place."""
    decimals = 0
    while place.uncertainty * 10**decimals < 10 and decimals < 3:
        decimals += 1
    within = ceil(place.uncertainty * 10**decimals - 1e-9) / 10**decimals
    return f"{place.offset:+.{decimals}f} +-{within:.{decimals}f}"


def strips(places: Mapping[str, Place], columns: int = COLUMNS) -> list[str]:
    """Two rows for each camshaft over a cycle: `|` where an edge should stand, `*` where it stands."""
    names = {name: name if cells(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}~" for name in places}
    wide = max(map(cells, names.values()))
    room = min(_WIDEST, columns - wide - 8)
    if room < _NARROWEST:
        return []
    rows = []
    for name, place in places.items():
        rows.append(f"{pad(names[name], wide)}  good   {_row(place.good, room, '|')}")
        rows.append(f"{' ' * wide}  trace  {_row(place.edges, room, '*')}".rstrip())
    scale = _scale(room)
    return [
        f"{' ' * wide}         {scale}"[:columns].rstrip(),
        *rows,
        "| a good engine's edge, * the trace's. Right is late. Crank degrees from the first tooth behind the gap.",
    ]


def _row(edges: Iterable[float], room: int, mark: str) -> str:
    line = [" "] * room
    for edge in edges:
        line[min(room - 1, int(edge % CYCLE / CYCLE * room))] = mark
    return "".join(line).rstrip()


def _scale(room: int) -> str:
    line = [" "] * (room + 4)
    for degrees in range(0, int(CYCLE), _STEP):
        at = int(degrees / CYCLE * room)
        line[at : at + len(str(degrees))] = str(degrees)
    return "".join(line).rstrip()


def as_svg(traced: Traced) -> str:
    """The same as a drawing: black and white, told apart by form."""
    return "\n".join(_drawn(traced)) + "\n"


def _drawn(traced: Traced) -> Iterator[str]:
    height = _HEAD + _ROW * len(traced.places) + 30
    said = "; ".join(f"{name} {sure(place)} crank degrees" for name, place in traced.places.items())
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" role="img"'
        ' aria-labelledby="trace-title trace-description" font-family="\'DejaVu Sans\',sans-serif" font-size="12">'
    )
    yield '<title id="trace-title">Camshaft edges over a cycle, against a good engine</title>'
    yield f'<desc id="trace-description">{escape(said)}. Right is late.</desc>'
    yield f'<rect width="{_WIDTH}" height="{height}" fill="#fff"/>'
    for degrees in range(0, int(CYCLE) + 1, _STEP):
        across = _across(degrees)
        pen = 'stroke="#000" stroke-width="0.6" stroke-dasharray="3 3"'
        yield f'<path d="M{across:.1f} {_HEAD - 6}V{height - 26}" {pen}/>'
        yield f'<text x="{across:.1f}" y="{_HEAD - 14}" text-anchor="middle">{degrees}</text>'
    for at, (name, place) in enumerate(traced.places.items()):
        yield from _strip(name, place, _HEAD + _ROW * at)
    yield (
        f'<text x="{_LEFT}" y="{height - 8}">Line: a good engine\'s edge. Dot: the trace\'s. Right is late. '
        "Crank degrees.</text>"
    )
    yield "</svg>"


def _strip(name: str, place: Place, top: int) -> Iterator[str]:
    short = name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}~"
    yield f'<text x="{_LEFT - 12}" y="{top + 16}" text-anchor="end">{escape(short)}</text>'
    yield f'<text x="{_LEFT - 12}" y="{top + 32}" text-anchor="end">{sure(place)}</text>'
    yield f'<path d="M{_LEFT} {top + 20}H{_RIGHT}" stroke="#000" stroke-width="0.6"/>'
    for edge in place.good:
        yield f'<path d="M{_across(edge):.1f} {top + 4}V{top + 36}" stroke="#000" stroke-width="2"/>'
    for edge in place.edges:
        yield f'<circle cx="{_across(edge):.1f}" cy="{top + 20}" r="4" fill="#fff" stroke="#000" stroke-width="2"/>'


def _across(degrees: float) -> float:
    share = 1.0 if degrees == CYCLE else degrees % CYCLE / CYCLE
    return _LEFT + share * (_RIGHT - _LEFT)


def kept_lines(kept: Kept) -> list[str]:
    """A good engine's pattern as its `sensors` keep it: keys for each wheel, to be written beside its teeth."""
    lines = ["The pattern of this trace. Write it into the engine's `timing`, beside the teeth:", "", "  sensors:"]
    if kept.edge:
        lines.append(f"    crank: {{..., edge: {kept.edge}}}")
    return lines + [f"    {name}: {{..., {_keys(good)}}}" for name, good in kept.cams.items()]


def kept_data(kept: Kept) -> dict[str, Any]:
    """The pattern with the keys of `sensors`."""
    cams = {name: {**_named(good), "uncertainty": good.uncertainty} for name, good in kept.cams.items()}
    return {"edge": kept.edge or None, "camshafts": cams}


def _keys(good: Good) -> str:
    edges = [f"{key}: [{', '.join(f'{edge:.2f}' for edge in edges)}]" for key, edges in _named(good).items()]
    return ", ".join([*edges, f"uncertainty: {_up(good.uncertainty)}"])


def _named(good: Good) -> dict[str, list[float]]:
    keys = {"": "edges", "rising": "rises", "falling": "falls"}
    return {keys[way]: [float(edge) % CYCLE for edge in edges] for way, edges in good.edges.items()}


def _up(degrees: float) -> str:
    """An uncertainty to the hundredth, rounded up."""
    return f"{ceil(degrees * 100 - 1e-9) / 100:.2f}"
