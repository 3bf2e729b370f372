"""Traces of engines that run nowhere, made from the angle at which an edge passes. Nothing of the reading is in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagtree.measure.traces import Trace, Way

Floats = NDArray[np.float64]

# Crank degrees in a cycle at which the edges of a camshaft's wheel pass on the good engine: unequal teeth.
GOOD: Mapping[str, Mapping[Way, Sequence[float]]] = {
    "intake-1": {"rising": (40.0, 210.0, 390.0, 585.0), "falling": (110.0, 260.0, 470.0, 615.0)},
    "exhaust-1": {"rising": (100.0, 290.0, 455.0, 640.0), "falling": (165.0, 330.0, 520.0, 690.0)},
}


@dataclass(frozen=True)
class Engine:
    """How an engine runs, and how its sensors see it. Angles in crank degrees, positive offsets advanced."""

    offsets: Mapping[str, float] = field(default_factory=dict)
    turns: float = 20.3
    teeth: int = 60
    missing: int = 2
    width: float = 0.45  # of a crank tooth, of the pitch
    jitter: float = 0.2  # crank degrees, standard deviation, of every edge
    drift: float = 0.02  # change of speed from the first edge to the last
    ripple: float = 0.0  # change of speed with each of eight firings in a cycle
    dropped: float = 0.02  # of the edges
    spurious: float = 0.0  # edges too many, for each edge
    rpm: float = 750.0
    edges: Mapping[str, Mapping[Way, Sequence[float]]] = field(default_factory=lambda: GOOD)


def trace(engine: Engine, rng: np.random.Generator, ways: Sequence[Way] = ("rising",), said: bool = False) -> Trace:
    """The edges of these ways, in the first of them only without their names unless `said`."""
    start = rng.uniform(0.0, 720.0)
    channels: dict[str, dict[Way, Floats]] = {}
    for name in ("crank", *engine.edges):
        channels[name] = {}
        for way in ways:
            angle = _crank(engine, way) if name == "crank" else _cam(engine, name, way)
            times = _seen(engine, angle, start, rng)
            channels[name][way if said or len(ways) > 1 else ""] = times
    return Trace(channels)


def _crank(engine: Engine, way: Way) -> Floats:
    pitch = 360 / engine.teeth
    turns = np.arange(-1, int(engine.turns) + 4)
    there = np.arange(engine.teeth - engine.missing) * pitch + (engine.width * pitch if way == "falling" else 0.0)
    return (turns[:, None] * 360 + there).ravel()


def _cam(engine: Engine, name: str, way: Way) -> Floats:
    turns = np.arange(-1, int(engine.turns) + 4)
    there = np.array(engine.edges[name][way]) - engine.offsets.get(name, 0.0)
    return np.sort((turns[:, None] * 720 + there).ravel())


def _seen(engine: Engine, angle: Floats, start: float, rng: np.random.Generator) -> Floats:
    """When the edges come that pass while the trace lasts."""
    angle = angle + rng.normal(0.0, engine.jitter, len(angle))
    angle = angle[(angle >= start) & (angle < start + 360 * engine.turns)]
    angle = angle[rng.random(len(angle)) >= engine.dropped]
    more = rng.uniform(start, start + 360 * engine.turns, rng.binomial(len(angle), engine.spurious))
    angle = np.sort(np.concatenate((angle, more)))
    return np.interp(angle, *_clock(engine, start))


def _clock(engine: Engine, start: float) -> tuple[Floats, Floats]:
    """The moment at which the crank stands at each of many angles."""
    angle = np.linspace(start, start + 360 * engine.turns, int(360 * engine.turns))
    speed = 1 + engine.drift * (angle - start) / (360 * engine.turns) + engine.ripple * np.sin(np.radians(4 * angle))
    step = np.diff(angle) / (6 * engine.rpm) * 2 / (speed[1:] + speed[:-1])
    return angle, np.concatenate(([0.0], np.cumsum(step)))


def as_csv(made: Trace) -> str:
    """The trace as a file holds it."""
    rows = [
        (time, name, way) for name, found in made.channels.items() for way, times in found.items() for time in times
    ]
    said = any(way for _, _, way in rows)
    lines = ["time,channel,edge" if said else "time,channel"]
    lines += [f"{time:.9f},{name}" + (f",{way}" if said else "") for time, name, way in sorted(rows)]
    return "\n".join(lines) + "\n"
