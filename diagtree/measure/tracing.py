"""Camshaft offsets from a trace of the sensors, against a good engine's trace or the pattern kept of one."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from diagtree.measure.camshafts import Good, Place, good_of, place_of, wheel_of
from diagtree.measure.crank import Crank, angles, turning
from diagtree.measure.files import read_text
from diagtree.measure.scatter import Floats
from diagtree.measure.traces import Trace, Way, named, parse_trace
from diagtree.measure.trouble import Trouble, quote
from diagtree.model.engine import CRANK, CrankEdge, Sensor, Timing

_HALF_A_TOOTH = (0.15, 0.85)  # of the crank wheel's pitch: shifts that its other edge would explain
_TOGETHER = 0.5  # crank degrees within which camshafts are off alike


@dataclass(frozen=True, slots=True)
class Traced:
    """What a trace says of the camshafts."""

    places: Mapping[str, Place]  # by camshaft, in the engine's order; those that the trace shows
    turns: int  # of the crank, whole
    slowest: float  # rpm of any turn
    fastest: float
    edge: CrankEdge  # of the crank's teeth
    doubts: tuple[str, ...]  # a sentence or two each, for people

    @property
    def offsets(self) -> dict[str, float]:
        """Crank degrees by camshaft, positive = advanced."""
        return {name: place.offset for name, place in self.places.items()}

    @property
    def uncertainty(self) -> float:
        """The largest expanded uncertainty of an offset, crank degrees."""
        return max(place.uncertainty for place in self.places.values())


class Kept(NamedTuple):
    """A good engine's pattern, as the library may keep it."""

    edge: CrankEdge
    cams: dict[str, Good]


def offsets_of(timing: Timing, trace: Trace, good: Trace | None = None) -> Traced | Trouble:
    """Each camshaft's offset, with its uncertainty from the scatter of both.

    Args:
        timing: the drive, with its `sensors`.
        trace: of the engine in question.
        good: of a good one; None: the pattern that `sensors` keep.

    Returns:
        The offsets of the camshafts that both show, or a trouble in a sentence or two.
    """
    wheels = _wheels(timing, trace)
    if isinstance(wheels, Trouble):
        return wheels
    edges = _edges_for(timing, trace, good)
    if isinstance(edges, Trouble):
        return edges
    crank = _crank(timing, trace, edges[0])
    if isinstance(crank, Trouble):
        return crank
    kept = pattern_of(timing, good, edges[1]) if good else _kept(timing)
    if isinstance(kept, Trouble):
        return Trouble(f"In the good trace: {kept.message}")
    return _compared(timing, trace, crank, kept)


def from_files(timing: Timing, path: str, good: str = "") -> Traced | Trouble:
    """`offsets_of` of files; an empty `good` is the pattern that the engine keeps."""
    trace = read_trace(path)
    if isinstance(trace, Trouble):
        return trace
    against = read_trace(good) if good else None
    return against if isinstance(against, Trouble) else offsets_of(timing, trace, against)


def read_trace(path: str) -> Trace | Trouble:
    """The trace of a file; a trouble names the file."""
    text = read_text(path)
    if isinstance(text, Trouble):
        return text
    found = parse_trace(text)
    return Trouble(f"{quote(path)}: {found.message}") if isinstance(found, Trouble) else found


def pattern_of(timing: Timing, trace: Trace, edge: CrankEdge | None = None) -> Kept | Trouble:
    """The pattern of a good engine, to be kept or compared with. `edge`: of the crank; None: the best that is there."""
    wheels = _wheels(timing, trace)
    if isinstance(wheels, Trouble):
        return wheels
    edge = _own_edge(trace) if edge is None else edge
    crank = _crank(timing, trace, edge)
    if isinstance(crank, Trouble):
        return crank
    found: dict[str, Good] = {}
    for name, sensor in wheels.items():
        read = {way: wheel_of(crank, times, sensor, name) for way, times in trace.channels[name].items()}
        for wheel in read.values():
            if isinstance(wheel, Trouble):
                return wheel
        found[name] = good_of({way: wheel for way, wheel in read.items() if not isinstance(wheel, Trouble)})
    return Kept(edge, found)


def keeps_pattern(timing: Timing) -> bool:
    """Whether the engine's `sensors` keep where a good engine's edges stand."""
    return any(_ways(sensor) for name, sensor in timing.sensors.items() if name != CRANK)


def _wheels(timing: Timing, trace: Trace) -> dict[str, Sensor] | Trouble:
    """The camshafts that the trace shows, with their trigger wheels."""
    if CRANK not in timing.sensors:
        return Trouble("The engine's `timing` has no `sensors: {crank: ...}`: a trace can't be read without its teeth.")
    if CRANK not in trace.channels:
        return Trouble(f"The trace has no channel `crank`. Its channels are: {named(trace)}.")
    unwritten = [name for name in timing.cams if name in trace.channels and name not in timing.sensors]
    if unwritten:
        return Trouble(f"`sensors` has no trigger wheel for {', '.join(unwritten)}. Write its teeth there.")
    found = {name: timing.sensors[name] for name in timing.cams if name in trace.channels}
    if not found:
        cams = ", ".join(timing.cams)
        return Trouble(
            f"The trace has no camshaft's channel: name it as the engine does, {cams}. It has {named(trace)}."
        )
    return found


def _ways(sensor: Sensor) -> dict[Way, Floats]:
    """A good engine's edges, where they are kept."""
    kept: dict[Way, tuple[float, ...]] = {"": sensor.edges, "rising": sensor.rises, "falling": sensor.falls}
    return {way: np.sort(np.array(edges)) for way, edges in kept.items() if edges}


def _kept(timing: Timing) -> Kept:
    found = {
        name: Good(ways, sensor.uncertainty / 2)
        for name, sensor in timing.sensors.items()
        if name != CRANK and (ways := _ways(sensor))
    }
    return Kept(timing.sensors[CRANK].edge, found)


def _own_edge(trace: Trace) -> CrankEdge:
    """The best edge of the crank's teeth that a trace lets tell."""
    ways = tuple(trace.channels[CRANK])
    return "leading" if len(ways) == 2 else ways[0]


def _edges_for(timing: Timing, trace: Trace, good: Trace | None) -> tuple[CrankEdge, CrankEdge] | Trouble:
    """Which edge of the crank's teeth to take of the trace and of the good one, so that both take the same."""
    if good is None and not keeps_pattern(timing):
        return Trouble(
            "No good engine is known to compare with: name its trace with --good FILE (in a walk: trace FILE against "
            "GOOD), or keep its pattern in the engine's `sensors`."
        )
    if good is not None and CRANK not in good.channels:
        return Trouble(f"The good trace has no channel `crank`. Its channels are: {named(good)}.")
    mine, theirs = _own_edge(trace), _own_edge(good) if good else timing.sensors[CRANK].edge
    if mine == "leading" and theirs in trace.channels[CRANK]:
        return theirs, theirs
    if good and theirs == "leading" and mine in good.channels[CRANK]:
        return mine, mine
    return _same_edge(mine, theirs)


def _same_edge(mine: CrankEdge, theirs: CrankEdge) -> tuple[CrankEdge, CrankEdge] | Trouble:
    """The edges where they may be the same; a trouble where they are not, or may well not be."""
    if mine == theirs or ("leading" not in (mine, theirs) and "" in (mine, theirs)):
        return mine, theirs
    if "leading" in (mine, theirs):
        less = "trace" if theirs == "leading" else "good trace"
        return Trouble(
            f"The {less} does not tell at which edge of the crank's teeth it was taken, and the other one does: half a "
            "tooth would look like an offset. Record both edges, with a column `edge`."
        )
    return Trouble(f"The trace has {mine} edges of the crank, the good one {theirs} ones. Record the same, or both.")


def _crank(timing: Timing, trace: Trace, edge: CrankEdge) -> Crank | Trouble:
    ways = trace.channels[CRANK]
    if edge != "leading":
        return turning(ways[edge], timing.sensors[CRANK])
    first, second = (turning(times, timing.sensors[CRANK]) for times in ways.values())
    if isinstance(first, Trouble) or isinstance(second, Trouble):
        return first if isinstance(first, Trouble) else second
    # A tooth's width behind its leading edge comes the trailing one; from there to the leading one it is further.
    turned, known = angles(first, second.times[second.teeth % second.wheel.teeth == 0])
    apart = np.exp(1j * np.radians(turned[known]))
    return first if float(np.angle(np.sum(apart))) > 0 else second


def _compared(timing: Timing, trace: Trace, crank: Crank, kept: Kept) -> Traced | Trouble:
    places: dict[str, Place] = {}
    lone: list[str] = []
    for name in timing.cams:
        if name not in trace.channels:
            continue
        if name not in kept.cams:
            lone.append(name)
            continue
        wheels = {}
        for way, times in trace.channels[name].items():
            wheel = wheel_of(crank, times, timing.sensors[name], name)
            if isinstance(wheel, Trouble):
                return wheel
            wheels[way] = wheel
        place = place_of(name, wheels, kept.cams[name])
        if isinstance(place, Trouble):
            return place
        places[name] = place
    if not places:
        return Trouble(f"Nothing good is known of {', '.join(lone)} to compare with.")
    turns = int(crank.teeth[-1] // crank.wheel.teeth - -(-crank.teeth[0] // crank.wheel.teeth))
    doubts = (*_unread(timing, trace, lone), *_doubts(places, crank, kept.edge))
    return Traced(places, turns, crank.slowest, crank.fastest, kept.edge, doubts)


def _unread(timing: Timing, trace: Trace, lone: list[str]) -> list[str]:
    """Camshafts without an offset, and channels that are none."""
    absent = [name for name in timing.cams if name not in trace.channels]
    other = [quote(name)[1:-1] for name in trace.channels if name != CRANK and name not in timing.cams][:4]
    said = [f"The trace does not show {', '.join(absent)}."] if absent else []
    said += [f"Nothing good is known of {', '.join(lone)} to compare with."] if lone else []
    return said + ([f"Not used: {', '.join(other)}."] if other else [])


def _doubts(places: Mapping[str, Place], crank: Crank, edge: CrankEdge) -> list[str]:
    """What else could explain the offsets."""
    said = []
    for name, place in places.items():
        if place.other_way is not None:
            said.append(
                f"{name}: taken at the other side of its teeth the offset would be {place.other_way:+.1f}. The smaller "
                "one is taken: make sure which edge was recorded."
            )
        if place.uneven:
            said.append(
                f"{name}: its teeth or its turns differ by more than chance: a bent or loose wheel, another wheel than "
                "the good one, or a phaser that moves. The uncertainty allows for it."
            )
    return said if edge == "leading" else [*said, _one_edge(places, crank)]


def _one_edge(places: Mapping[str, Place], crank: Crank) -> str:
    """What a crank sensor read at the other edge of its teeth would do, as only one edge is known."""
    pitch = 360 / crank.wheel.teeth
    offsets = [place.offset for place in places.values()]
    mean = math.fsum(offsets) / len(offsets)
    sure = max(place.uncertainty for place in places.values())
    low, high = (share * pitch for share in _HALF_A_TOOTH)
    alike = max(offsets) - min(offsets) <= max(_TOGETHER, 2 * sure)
    rule_out = "Record both edges of the crank's teeth, with a column `edge`, to rule it out."
    if alike and len(offsets) > 1 and low <= abs(mean) <= high:
        return (
            f"All camshafts are off alike by about {mean:+.1f}: the crank's sensor read at the other edge of its teeth "
            f"looks just so (polarity, wiring, another trigger level). {rule_out}"
        )
    return (
        "Only one edge of the crank's teeth is known. The other one would shift all camshafts alike, by less than "
        f"{pitch:g} crank degrees. {rule_out}"
    )
