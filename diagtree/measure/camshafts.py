"""A camshaft's place from the edges of its trigger wheel, against those of a good engine."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from diagtree.measure.crank import Crank, angles
from diagtree.measure.scatter import Floats, Mean, Whole, coverage_factor, freedom_of, pooled
from diagtree.measure.traces import Way
from diagtree.measure.trouble import Trouble, quote
from diagtree.model.engine import Sensor

CYCLE = 720.0  # crank degrees of a turn of the camshaft
LEAST_SPARE = 3  # edges beyond one for each tooth
SMALLEST = 0.001  # crank degrees: no trace is surer than that
_LINK, _MOST_LINK = 0.12, 6.0  # of the wheel's pitch, and crank degrees: edges so near are of one tooth
_FULL, _STRANGE = 0.75, 0.5  # of the cycles: the least in which teeth are there, the most in which one too many is
_NEAR = 1.0  # crank degrees within which no edge is stray
_STRAY = 6.0  # deviations from its tooth's place from which an edge is none
_ALIKE = 1.0  # crank degrees: two fits that differ by less are equally good
_WORST = 4.0  # crank degrees: the most by which a wheel's edges may differ from the good ones


@dataclass(frozen=True, slots=True, eq=False)
class Wheel:
    """The edges of one way of a camshaft's wheel: where each tooth stands, in crank degrees of a cycle, ascending."""

    centres: Floats  # shape (J,)
    angles: Floats  # shape (n,), every edge that counts, within half a cycle of its centre
    tooth: Whole  # shape (n,), 0 to J - 1
    cycle: Whole  # shape (n,)


@dataclass(frozen=True, slots=True, eq=False)
class Good:
    """Where a good engine's edges stand: crank degrees by way, ascending, and how sure they are together."""

    edges: Mapping[Way, Floats]
    deviation: float = 0.0  # standard uncertainty of them all together, crank degrees
    freedom: float = math.inf

    @property
    def uncertainty(self) -> float:
        """Expanded, crank degrees."""
        return coverage_factor(self.freedom) * self.deviation


@dataclass(frozen=True, slots=True)
class Place:
    """A camshaft's offset from the good engine's: crank degrees, positive = advanced."""

    offset: float
    uncertainty: float  # expanded: 95 in 100 such intervals hold the true offset
    readings: int
    edges: tuple[float, ...]  # where the trace's edges stand, crank degrees of a cycle
    good: tuple[float, ...]  # where they should stand
    uneven: bool = False  # whether teeth or cycles differ by more than chance
    other_way: float | None = None  # the offset with each edge taken for the other side of its tooth, where that fits


def wheel_of(crank: Crank, times: Floats, sensor: Sensor, name: str) -> Wheel | Trouble:
    """The places of the teeth of a camshaft's wheel; `times` are edges of one way, in seconds, ascending."""
    turned, known = angles(crank, times)
    turned = turned[known]
    teeth = sensor.teeth - sensor.missing
    if len(turned) < teeth + LEAST_SPARE:
        return Trouble(f"{quote(name)} has {len(turned)} edges while the crank turns: too few. Record more turns.")
    label, angle = _clustered(np.mod(turned, CYCLE), min(_MOST_LINK, _LINK * CYCLE / sensor.teeth))
    cycle = np.rint((turned - angle) / CYCLE).astype(np.int64)
    cycles = (turned[-1] - turned[0]) / CYCLE
    counts = np.bincount(label)
    ranked = np.argsort(-counts, kind="stable")
    least = counts[ranked[teeth - 1]] if len(counts) >= teeth else 0
    beyond = counts[ranked[teeth]] if len(counts) > teeth else 0
    sparse = int(np.sum(counts[ranked[:teeth]])) < _FULL * teeth * (cycles - 1)
    if sparse or beyond > _STRANGE * cycles or least <= beyond:
        return Trouble(_other_wheel(name, int(np.sum(counts >= max(1.0, cycles / 2))), sensor))
    found = _cleaned(label, angle, cycle, np.sort(ranked[:teeth]))
    if len(np.unique(found.tooth)) < teeth or len(found.tooth) < teeth + LEAST_SPARE:
        return Trouble(f"The edges of {quote(name)} scatter too far. Record a clean signal at a steady speed.")
    return found


def _other_wheel(name: str, found: int, sensor: Sensor) -> str:
    teeth = sensor.teeth - sensor.missing
    cure = "Correct `sensors`, or record a clean signal."
    if found == 2 * teeth:
        cure = "Both edges of each tooth stand there: say which in a column `edge`, or keep one kind."
    return f"{quote(name)} shows {found} edges in every turn of the camshaft, and `sensors` has {teeth}. {cure}"


def _clustered(angle: Floats, link: float) -> tuple[Whole, Floats]:
    """The tooth of each angle, numbered round the cycle; and the angles, those beyond the seam carried past it."""
    order = np.argsort(angle, kind="stable")
    placed = angle[order]
    gaps = np.diff(placed, append=placed[0] + CYCLE)
    seam = int(np.argmax(gaps))  # the widest gap: no tooth is cut there
    order = np.concatenate((order[seam + 1 :], order[: seam + 1]))
    carried = np.concatenate((placed[seam + 1 :], placed[: seam + 1] + CYCLE))
    label, out = np.empty(len(angle), dtype=np.int64), np.empty(len(angle))
    label[order] = np.concatenate(([0], np.cumsum(np.diff(carried) > link)))
    out[order] = carried
    return label, out


def _cleaned(label: Whole, angle: Floats, cycle: Whole, kept: Whole) -> Wheel:
    """The teeth kept, each with one edge in a cycle, without edges that stand far off."""
    place = np.full(int(label.max()) + 1, -1)
    place[kept] = np.arange(len(kept))
    tooth = place[label]
    centres = np.array([np.median(angle[tooth == at]) for at in range(len(kept))])
    off = np.abs(angle - centres[tooth])
    # Three of four readings lie within 1.15 deviations. The median would be too small: some lie on their own middle.
    limit = max(_NEAR, _STRAY / 1.15 * float(np.quantile(off[tooth >= 0], 0.75)))
    order = np.lexsort((off, cycle, tooth))
    order = order[(tooth[order] >= 0) & (off[order] <= limit)]
    _, first = np.unique(np.stack((tooth[order], cycle[order])), axis=1, return_index=True)
    chosen = np.sort(order[first])
    tooth, angle, cycle = tooth[chosen], angle[chosen], cycle[chosen]
    many = np.maximum(np.bincount(tooth, minlength=len(kept)), 1)
    means = np.bincount(tooth, weights=angle, minlength=len(kept)) / many
    shift = np.where(means >= CYCLE, CYCLE, 0.0)
    turn = np.argsort(means - shift)
    back = np.argsort(turn)
    return Wheel((means - shift)[turn], angle - shift[tooth], back[tooth], cycle)


def good_of(wheels: Mapping[Way, Wheel]) -> Good:
    """The pattern that a good engine's wheel makes."""
    means = [pooled(one.angles - one.centres[one.tooth], one.tooth, one.cycle) for one in wheels.values()]
    # Of both edges of the teeth, each way counts alike.
    deviation = math.hypot(*(mean.deviation for mean in means)) / len(means)
    freedom = freedom_of(*means)
    return Good({way: one.centres for way, one in wheels.items()}, deviation, freedom)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """One way to lay a wheel's edges on the good ones."""

    shift: float  # crank degrees: by how much they come later, within half a turn of the crank
    spread: float  # crank degrees: how much they differ about that
    pairs: Mapping[tuple[Way, Way], int]  # (the trace's way, the good one's) -> by how many teeth it is turned
    crossed: bool  # whether rising edges lie on falling ones


def place_of(name: str, wheels: Mapping[Way, Wheel], good: Good) -> Place | Trouble:
    """A camshaft's offset: its wheel laid on the good one, the fit that needs the smallest shift of those that fit."""
    fits = [fit for pairs in _pairings(tuple(wheels), tuple(good.edges)) for fit in _fits(wheels, good, pairs)]
    if not fits:
        return Trouble(_no_way(name, wheels, good))
    best = min(fit.spread for fit in fits)
    if best > _WORST:
        return Trouble(
            f"The edges of {quote(name)} do not stand as the good ones do: they differ by {best:.0f} crank degrees. "
            "It is another wheel, a bent one, or another engine's good trace."
        )
    fitting = sorted((fit for fit in fits if fit.spread <= best + _ALIKE), key=lambda fit: abs(fit.shift))
    chosen = fitting[0]
    others = [fit for fit in fitting if set(fit.pairs) != set(chosen.pairs)]
    return _measured(wheels, good, chosen, others[0] if others else None)


def _no_way(name: str, wheels: Mapping[Way, Wheel], good: Good) -> str:
    mine, theirs = next(iter(wheels)), next(iter(good.edges))
    if mine and theirs and mine not in good.edges:
        return f"{quote(name)}: the trace has {mine} edges, the good one {theirs} ones. Record the same, or both."
    many, right = len(wheels[mine].centres), len(good.edges[theirs])
    return f"{quote(name)} has {many} edges in a cycle, the good engine {right}. Correct `sensors`, or the good trace."


def _pairings(mine: tuple[Way, ...], theirs: tuple[Way, ...]) -> list[tuple[tuple[Way, Way], ...]]:
    """Which edges may be laid on which. A sensor wired or read the other way round swaps rising and falling."""
    if len(mine) == 2 and len(theirs) == 2:
        first, second = sorted(mine)
        return [((first, first), (second, second)), ((first, second), (second, first))]
    return [
        (pair,) for pair in product(mine, theirs) if len(mine) + len(theirs) > 2 or pair[0] == pair[1] or "" in pair
    ]


def _fits(wheels: Mapping[Way, Wheel], good: Good, pairs: tuple[tuple[Way, Way], ...]) -> list[_Fit]:
    """Every turn of the wheel that lays tooth on tooth; none where the numbers of teeth differ."""
    differences = []
    for mine, theirs in pairs:
        centres, right = wheels[mine].centres, good.edges[theirs]
        if len(centres) != len(right):
            return []
        turned = (np.arange(len(centres))[:, None] + np.arange(len(centres))) % len(centres)
        differences.append(centres[turned] - right)  # row: by how many teeth it is turned
    crossed = any(mine != theirs and mine and theirs for mine, theirs in pairs)
    return [
        _fit([rows[at] for rows, at in zip(differences, turns, strict=True)], pairs, turns, crossed=bool(crossed))
        for turns in _turns(differences)
    ]


def _turns(differences: list[Floats]) -> list[tuple[int, ...]]:
    """How to turn each way's teeth. The second way follows the first: the turn that fits it best."""
    first = differences[0]
    found: list[tuple[int, ...]] = []
    for at in range(len(first)):
        shift = _circular_mean(first[at])
        rest = [
            int(np.argmin([np.std(_about(row, shift)) + abs(np.mean(_about(row, shift))) for row in rows]))
            for rows in differences[1:]
        ]
        found.append((at, *rest))
    return found


def _fit(rows: list[Floats], pairs: tuple[tuple[Way, Way], ...], turns: tuple[int, ...], *, crossed: bool) -> _Fit:
    every = np.concatenate(rows)
    middle = _circular_mean(every)
    off = _about(every, middle)
    # Which turn of the crank a cycle starts with is not known: half a cycle more or less is the same place.
    shift = math.remainder(middle + float(np.mean(off)), CYCLE / 2)
    return _Fit(shift, float(np.std(off)), dict(zip(pairs, turns, strict=True)), crossed)


def _circular_mean(degrees: Floats) -> float:
    turns = np.exp(2j * np.pi / CYCLE * degrees)
    return float(np.angle(np.sum(turns)) * CYCLE / (2 * np.pi))


def _about(degrees: Floats, middle: float) -> Floats:
    """Differences from `middle`, the short way round."""
    off: Floats = np.mod(degrees - middle + CYCLE / 2, CYCLE) - CYCLE / 2
    return off


def _measured(wheels: Mapping[Way, Wheel], good: Good, fit: _Fit, other: _Fit | None) -> Place:
    values: list[Floats] = []
    teeth: list[Whole] = []
    cycles: list[Whole] = []
    seen: list[Floats] = []
    right: list[Floats] = []
    for (mine, theirs), turn in fit.pairs.items():
        wheel, edges = wheels[mine], good.edges[theirs]
        mate = (wheel.tooth - turn) % len(edges)
        values.append(_about(wheel.angles - edges[mate], fit.shift))
        teeth.append(wheel.tooth + sum(map(len, right)))
        cycles.append(wheel.cycle)
        seen.append(wheel.centres)
        right.append(edges)
    off = np.concatenate(values)
    other_turn = float(np.median(np.abs(off))) > CYCLE / 4  # see `_fit`; the seam may lie among them
    off = _about(off, CYCLE / 2) if other_turn else off
    tooth = np.concatenate(teeth)
    mean = pooled(off, tooth, np.concatenate(cycles), good.deviation**2 * (int(tooth.max()) + 1))
    whole = math.hypot(mean.deviation, good.deviation)
    factor = coverage_factor(freedom_of(mean, Mean(0.0, good.deviation, good.freedom)))
    offset = 0.0 - (fit.shift + mean.value)
    return Place(
        offset=offset,
        uncertainty=max(SMALLEST, factor * whole),
        readings=len(off),
        edges=tuple(np.mod(np.concatenate(seen) + (CYCLE / 2 if other_turn else 0.0), CYCLE).tolist()),
        good=tuple(np.concatenate(right).tolist()),
        uneven=mean.uneven,
        other_way=0.0 - other.shift if other else None,
    )
