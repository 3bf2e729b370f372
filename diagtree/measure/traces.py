"""A trace of the crank and camshaft sensors: the times of their edges, read from a CSV file."""

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal, TypeAlias

import numpy as np

from diagtree.measure.scatter import Floats
from diagtree.measure.trouble import Trouble, quote

# Which way the signal went at an edge; '' where the file does not say.
Way: TypeAlias = Literal["", "rising", "falling"]

LARGEST = 8 * 1024 * 1024  # characters of a file: some minutes at idle
_COLUMNS = ("time", "channel", "edge")
_WAYS: Mapping[str, Way] = {
    **dict.fromkeys(("rising", "rise", "up", "r", "1", "+"), "rising"),
    **dict.fromkeys(("falling", "fall", "down", "f", "0", "-"), "falling"),
}
_SECONDS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "sec": 1.0, "seconds": 1.0}
_FORM = "A trace has a line `time,channel` and then one line for each edge, such as 0.01234,crank."
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """The edges of each channel, by the way the signal went. Times in seconds, ascending."""

    channels: Mapping[str, Mapping[Way, Floats]]


def parse_trace(text: str) -> Trace | Trouble:
    """Read the text of a CSV file: columns `time` and `channel`, and `edge` (rising, falling) where it is known.

    The columns may stand in any order and others beside them; commas, semicolons or tabs between them. A unit may
    stand behind `time`, such as `time (ms)`. The lines of each channel must be in the order of time.

    Returns:
        The edges, or a trouble that names the first line which cannot be used. A second edge of a channel at the same
        moment and of the same way is left out.
    """
    if len(text) > LARGEST:
        return Trouble(
            f"The trace is longer than {LARGEST // 2**20} million characters. Ten turns of the crank will do."
        )
    first = text.lstrip("\ufeff \t\r\n").partition("\n")[0]
    if not first.strip():
        return Trouble(f"The trace is empty. {_FORM}")
    mark = max(";\t,", key=first.count)
    rows = enumerate(csv.reader(text.lstrip("\ufeff").splitlines(), delimiter=mark), start=1)
    try:
        head = next(row for _, row in rows if any(map(str.strip, row)))
        columns = _columns(head)
        return columns if isinstance(columns, Trouble) else _edges(rows, columns, decimal_comma=mark != ",")
    except (csv.Error, StopIteration):
        return Trouble(f"The trace is no CSV file. {_FORM}")


@dataclass(frozen=True, slots=True)
class _Columns:
    time: int
    channel: int
    edge: int | None
    scale: float  # seconds in the file's unit of time

    @property
    def needed(self) -> int:
        return max(self.time, self.channel, self.edge or 0) + 1


def _columns(head: Sequence[str]) -> _Columns | Trouble:
    names = [cell.strip().lower() for cell in head]
    bare = [name.partition("(")[0].partition("[")[0].strip() for name in names]
    found = {name: bare.index(name) for name in _COLUMNS if name in bare}
    if "time" not in found or "channel" not in found:
        shown = ", ".join(quote(name)[1:-1] for name in names[:_MOST_NAMED])
        return Trouble(f"The trace's first line has the columns {shown}. {_FORM}")
    unit = names[found["time"]][len("time") :].strip(" ([])") or "s"
    if unit not in _SECONDS:
        return Trouble(f"{quote(unit)} is no unit of time known here. Write time (s), time (ms) or time (us).")
    return _Columns(found["time"], found["channel"], found.get("edge"), _SECONDS[unit])


def _edges(rows: Iterator[tuple[int, list[str]]], columns: _Columns, *, decimal_comma: bool) -> Trace | Trouble:
    """The lines below the head."""
    found: dict[str, dict[Way, list[float]]] = {}
    latest: dict[str, float] = {}
    for number, row in rows:
        if not any(map(str.strip, row)):
            continue
        edge = _edge(row, columns, decimal_comma=decimal_comma)
        if isinstance(edge, str):
            return Trouble(f"Line {number} of the trace: {edge}")
        channel, way, time = edge
        if time < latest.get(channel, -math.inf):
            return Trouble(
                f"Line {number} of the trace: the time of {quote(channel)} goes back. "
                "Save the edges of each channel in the order in which they came."
            )
        latest[channel] = time
        times = found.setdefault(channel, {}).setdefault(way, [])
        if not times or time > times[-1]:
            times.append(time)
    if not found:
        return Trouble(f"The trace has no edges. {_FORM}")
    mixed = next((name for name, ways in found.items() if "" in ways and len(ways) > 1), None)
    if mixed is not None:
        return Trouble(f"Some edges of {quote(mixed)} say which way they go and some do not. Say it of all or of none.")
    return Trace({name: {way: np.array(times) for way, times in ways.items()} for name, ways in found.items()})


def _edge(row: Sequence[str], columns: _Columns, *, decimal_comma: bool) -> tuple[str, Way, float] | str:
    """The channel, the way and the time of a line; else what is wrong with it."""
    if len(row) < columns.needed:
        return f"it has {len(row)} columns, and {columns.needed} are needed."
    typed, channel = row[columns.time].strip(), row[columns.channel].strip().lower()
    try:
        time = float(typed.replace(",", ".") if decimal_comma else typed) if "_" not in typed else math.nan
    except ValueError:
        time = math.nan
    if not math.isfinite(time * columns.scale):
        return f"{quote(typed)} is no time. Write it in seconds, such as 0.01234."
    if not channel:
        return "it names no channel. Write crank, or the camshaft's id."
    if columns.edge is None:
        return channel, "", time * columns.scale
    way = _WAYS.get(row[columns.edge].strip().lower())
    if way is None:
        return f"{quote(row[columns.edge])} is no edge. Write rising or falling."
    return channel, way, time * columns.scale


def named(trace: Trace) -> str:
    """The channels of a trace, for a message."""
    names = [quote(name)[1:-1] for name in islice(trace.channels, _MOST_NAMED)]
    more = len(trace.channels) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")
