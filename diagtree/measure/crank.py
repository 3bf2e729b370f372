"""The crank's angle at any moment, from the edges of a trigger wheel with a gap.

Edges may be missing and others may be there that are none: each is given the place on the wheel that its time fits, and
the gap is the place where edges are missing in every turn.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from diagtree.measure.scatter import Floats, Whole
from diagtree.measure.trouble import Trouble
from diagtree.model.engine import Sensor

TURNS = 4  # of the crank, whole, that a trace must hold
STEADY = 0.10  # the largest change of speed between the turns of a trace, of their mean
_SPACED = 0.4  # of a pitch: how far from its place an edge may come
_SURE = 0.2  # of a pitch: so near to its place an edge is believed
_TRUST, _DOUBT = 0.5, 0.2  # of what an edge is off: by how much the places expected after it are moved
_EVEN = 5  # steps from one edge to the next that are looked at for a place to begin
_USUAL, _AROUND = 31, 13  # steps whose median is the usual pitch, and whose mean is the pitch in their middle
_STRAY = 0.06  # of a pitch: how far from its neighbours' line an edge may come before it is looked at
_EMPTY = 0.3  # of the turns: the most in which an edge may stand in the gap
_APART = 0.2  # of the turns: by how much less full the gap is than any other stretch of the wheel
_SEEN = 0.75  # of the turns: the least in which the other teeth are there, on average
_FIT = 3  # degree of the curve through neighbouring teeth: it follows the pulse of each cylinder
_TEETH = range(8, 121)  # of wheels to look for where the stated one does not fit
_GAPS = (1, 2, 3)


@dataclass(frozen=True, slots=True, eq=False)
class Crank:
    """The turning of a crank. Tooth 0 is the first after a gap; `teeth` counts on over the turns."""

    wheel: Sensor
    times: Floats  # shape (n,), seconds, ascending
    teeth: Whole  # shape (n,), ascending
    slowest: float  # turns per minute, of any whole turn
    fastest: float

    @property
    def rpm(self) -> float:
        """The mean of the slowest and the fastest turn."""
        return (self.slowest + self.fastest) / 2


def turning(times: Floats, wheel: Sensor) -> Crank | Trouble:
    """Read the edges of one way of a crank's trigger wheel.

    Args:
        times: shape (n,), seconds, ascending, of any length.
        wheel: its teeth and how many are missing for the gap.

    Returns:
        The crank's turning, or a trouble: too few edges, another wheel, an engine that does not run steadily.
    """
    if wheel.missing == 0:
        return Trouble("The crank's trigger wheel has no missing teeth in `sensors`, so its place can't be told.")
    if len(times) < TURNS * (wheel.teeth - wheel.missing) * 0.5:
        return Trouble(
            f"The crank has {len(times)} edges: too few. Record at least {TURNS} whole turns, better twenty, of "
            f"{wheel.teeth - wheel.missing} edges each."
        )
    at, teeth = _counted(times)
    start = _gap(teeth, wheel)
    if start is None:
        return Trouble(_other_wheel(teeth, wheel))
    at, teeth = _unbroken(at, teeth - start, wheel)
    found = _turns(times[at], teeth, wheel)
    if len(found) < TURNS:
        return Trouble(f"The crank makes {len(found)} whole turns: too few. Record at least {TURNS}, better twenty.")
    slowest, fastest = 60 / float(np.max(found)), 60 / float(np.min(found))
    change = 2 * (fastest - slowest) / (fastest + slowest)
    if change > STEADY:
        return Trouble(
            f"The engine's speed changes by {100 * change:.0f} % between turns, from {slowest:.0f} to {fastest:.0f} "
            f"rpm. Up to {100 * STEADY:.0f} % will do: record it at a steady speed."
        )
    return Crank(wheel, times[at], teeth, slowest, fastest)


def angles(crank: Crank, times: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """The crank's angle at these moments, in degrees from tooth 0, counted on over the turns; and which it is known at.

    A curve of third degree through the nearest teeth, by least squares: the teeth's own jitter is smoothed, and the
    pulse of each cylinder is followed through the gap.
    """
    width = _width(crank.wheel)
    half = width // 2
    places = np.searchsorted(crank.times, times)
    window = np.clip(places - half, 0, len(crank.times) - width)[:, None] + np.arange(width)
    near, teeth = crank.times[window], crank.teeth[window].astype(np.float64)
    # Where many teeth in a row are absent nothing is known of what lies between.
    dense = teeth[:, -1] - teeth[:, 0] <= width + 2 * crank.wheel.missing + half
    known = (places >= half) & (places <= len(crank.times) - half) & dense
    moment = np.where(known, times, near[:, half])
    scale = (near[:, -1] - near[:, 0])[:, None]
    powers = ((near - moment[:, None]) / scale)[:, :, None] ** np.arange(_FIT + 1)
    middle = teeth[:, [half]]
    across = powers.transpose(0, 2, 1)
    fitted = np.linalg.solve(across @ powers, across @ (teeth - middle)[:, :, None])
    return (fitted[:, 0, 0] + middle[:, 0]) * (360 / crank.wheel.teeth), known


def _width(wheel: Sensor) -> int:
    """How many teeth a curve is laid through: about 45 degrees of them, at least 4 and at most 8, an even number."""
    return max(4, min(8, 2 * round(22 * wheel.teeth / 360)))


def _counted(times: Floats) -> tuple[Whole, Whole]:
    """Which edges are teeth, and how many pitches each stands from the first."""
    at, teeth = _straightened(times, *_followed(times))
    at, teeth = _straightened(times, at, teeth)  # of two stray edges side by side only the worse one went
    # Every edge is measured against the line of those: one that was passed over may be the better tooth.
    place = np.interp(times, times[at], teeth.astype(np.float64))
    nearest = np.rint(place).astype(np.int64)
    return _nearest(np.arange(len(times)), nearest, np.abs(place - nearest))


def _nearest(at: Whole, teeth: Whole, off: Floats) -> tuple[Whole, Whole]:
    """Of the edges that may be a tooth the one that stands nearest to its place."""
    order = np.lexsort((off, teeth))
    order = order[off[order] <= _SPACED]
    found, first = np.unique(teeth[order], return_index=True)
    return at[order[first]], found


def _followed(times: Floats) -> tuple[Whole, Whole]:
    """The edges that stand whole pitches apart, in both directions from where they come most evenly."""
    steps = np.diff(times)
    pitch = _pitches(steps)
    uneven = np.minimum(np.abs(steps / pitch - 1), 1.0)
    start = int(np.argmin(np.convolve(uneven, np.ones(_EVEN), "valid"))) if len(steps) >= _EVEN else 0
    ahead = _follow(times[start:].tolist(), pitch[start:].tolist())
    behind = _follow((-times[start::-1]).tolist(), pitch[:start][::-1].tolist())
    pairs = [(start - at, -tooth, off) for at, tooth, off in behind[1:]]
    pairs += [(start + at, tooth, off) for at, tooth, off in ahead]
    at, teeth, off = (np.array(column) for column in zip(*pairs, strict=True))
    return _nearest(at, teeth, off)


def _pitches(steps: Floats) -> Floats:
    """The pitch where each step is, in seconds: over a few steps, since it changes with each cylinder's pulse.

    Steps that are no whole pitches are left out: stray edges make them.
    """
    usual = np.median(sliding_window_view(_widened(steps, _USUAL), min(_USUAL, len(steps))), axis=1)[: len(steps)]
    share = steps / usual
    whole = np.maximum(np.rint(share), 1.0)
    fits = np.abs(share - whole) <= _SPACED
    few = np.ones(min(_AROUND, len(steps)))
    span = np.convolve(np.where(fits, steps, 0.0), few, "same")
    pitches = np.convolve(np.where(fits, whole, 0.0), few, "same")
    return np.where(pitches > 0, span / np.maximum(pitches, 1.0), usual)


def _widened(steps: Floats, window: int) -> Floats:
    """The steps, mirrored at both ends so that every one stands in the middle of a window."""
    return np.pad(steps, window // 2, mode="reflect") if len(steps) > window else np.tile(steps, 2)[:-1]


def _follow(times: list[float], pitch: list[float]) -> list[tuple[int, int, float]]:
    """(edge, tooth, how far it stands from where that tooth was expected, in pitches), the first edge being tooth 0.

    Where a tooth is expected is carried on from all edges before, so that a stray one moves it little. `pitch`:
    seconds, of each step from one edge to the next.
    """
    expected, tooth = times[0], 0
    found = [(0, 0, 0.0)]
    for at, time in enumerate(times[1:], start=1):
        step = (time - expected) / pitch[at - 1]
        many = round(step)
        off = step - many
        if many < 0 or abs(off) > _SPACED:
            continue
        tooth += many
        expected += (many + (_TRUST if abs(off) < _SURE else _DOUBT) * off) * pitch[at - 1]
        found.append((at, tooth, abs(off)))
    return found


def _straightened(times: Floats, at: Whole, teeth: Whole) -> tuple[Whole, Whole]:
    """Without the edges that stand off the line between their neighbours further than the others do."""
    if len(at) < 5:
        return at, teeth
    when = times[at]
    share = (teeth[1:-1] - teeth[:-2]) / (teeth[2:] - teeth[:-2])
    span = when[2:] - when[:-2]
    off = np.abs(when[1:-1] - when[:-2] - share * span) / (span / (teeth[2:] - teeth[:-2]))
    limit = max(_STRAY, 6 * 1.4826 * float(np.median(off)))
    around = np.concatenate(([0.0], off, [0.0]))
    worst = (around[1:-1] > limit) & (around[1:-1] >= around[:-2]) & (around[1:-1] >= around[2:])
    keep = np.concatenate(([True], ~worst, [True]))
    return at[keep], teeth[keep]


def _gap(teeth: Whole, wheel: Sensor) -> int | None:
    """The tooth after the gap; None where no one place of the wheel is empty turn by turn, and the others full."""
    many, missing = wheel.teeth, wheel.missing
    first, last = int(teeth[0]), int(teeth[-1])
    possible = np.bincount(np.arange(first, last + 1) % many, minlength=many)
    if possible.min() < TURNS - 1:
        return None
    share = np.bincount(teeth % many, minlength=many) / possible
    # How full each stretch of as many teeth as are missing is, by its first tooth, across the seam too.
    full = np.mean([np.roll(share, -at) for at in range(missing)], axis=0)
    start = int(np.argmin(full))
    second = float(np.min(np.delete(full, start)))
    others = (float(np.sum(share)) - missing * float(full[start])) / (many - missing)
    if full[start] > _EMPTY or second < full[start] + _APART or others < _SEEN:
        return None
    return (start + missing) % many


def _unbroken(at: Whole, teeth: Whole, wheel: Sensor) -> tuple[Whole, Whole]:
    """The longest stretch in which no tooth was miscounted: from there on every turn has an edge in the gap."""
    turn = teeth // wheel.teeth - teeth[0] // wheel.teeth
    wrong = np.zeros(int(turn[-1]) + 3, dtype=bool)
    wrong[turn[teeth % wheel.teeth >= wheel.teeth - wheel.missing] + 1] = True
    twice = wrong[:-1] & wrong[1:]
    if not twice.any():
        return at, teeth
    broken = np.concatenate(([False], twice)) | np.concatenate((twice, [False]))
    broken[1:] |= broken[:-1]  # the turn behind a broken one began with the wrong count
    ends = np.flatnonzero(np.concatenate(([True], broken[1:-1], [True])))
    longest = int(np.argmax(np.diff(ends)))
    kept = (turn + 1 > ends[longest]) & (turn + 1 < ends[longest + 1])
    return at[kept], teeth[kept]


def _other_wheel(teeth: Whole, wheel: Sensor) -> str:
    stated = f"{wheel.teeth} teeth with {wheel.missing} missing"
    found = [(many, gap) for many in _TEETH for gap in _GAPS if _gap(teeth, Sensor(many, gap)) is not None]
    if found:
        many, gap = found[0]
        return (
            f"The crank's edges are not those of {stated}, as `sensors` has it: they look like {many} with {gap} "
            "missing. Correct `sensors`, or record this engine."
        )
    return (
        f"The crank's edges do not show {stated}. Record one kind of edge (or say which in a column `edge`), "
        "a clean signal, and an engine that runs steadily."
    )


def _turns(times: Floats, teeth: Whole, wheel: Sensor) -> Floats:
    """Seconds that each whole turn took."""
    first, last = math.ceil(teeth[0] / wheel.teeth), math.floor(teeth[-1] / wheel.teeth)
    marks = np.arange(first, last + 1) * wheel.teeth
    return np.diff(np.interp(marks.astype(np.float64), teeth.astype(np.float64), times))
