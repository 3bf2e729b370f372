"""The exact mixture of sums of independent hours: one Fourier transform for each variable, one back for each group.

A sum of hours is a product of spectra. What is certain in a sum is kept beside the grid, as an exact fraction, so that
plain numbers are not rounded to cells at all.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, lcm
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from diagtree.estimate.law import Floats
from diagtree.estimate.pert import cells
from diagtree.graph.pricing import exact, mean_hours
from diagtree.model.quantity import Hours

Spectrum: TypeAlias = NDArray[np.complex128]

# Hours from cell to cell, finest first. The contract asks for 0.05 or finer.
GRIDS = (Fraction(1, 100), Fraction(1, 50), Fraction(1, 20))
# Numbers to multiply, and cells of all groups together, past which the next grid is taken: a tenth of a second each.
_PRODUCTS = 40_000_000
_ATOMS = 400_000
# Cells of one sum: 5,000 hours by 0.05. Only hours that nobody works need a coarser grid.
_LONGEST = 100_000
# The share of a group that the transforms may leave behind in cells which nothing reaches.
_NOISE = 1e-15


@dataclass(frozen=True, slots=True)
class Sum:
    """A way that a visit can go, as work.

    Attributes:
        chance: above 0.
        certain: hours that are plain numbers.
        spread: names of the three-point variables that are added, each once, sorted.
        parts: what they cost.
    """

    chance: float
    certain: Fraction
    spread: tuple[str, ...]
    parts: float


@dataclass(frozen=True, slots=True, eq=False)
class Atoms:
    """A law of hours and parts together: pairs that are possible, with their chances. Shapes (n,), n at least 1."""

    hours: Floats
    parts: Floats
    chances: Floats  # sum 1
    mean_hours: float  # exact, whatever the grid
    mean_parts: float
    grid: float  # hours from cell to cell; 0 where nothing is spread


def mixture(sums: Iterable[Sum], points: Mapping[str, Hours], grid: Fraction | None = None) -> Atoms:
    """The law of hours and parts over all ways. Absolute error of a cell below 1e-12.

    Args:
        sums: at least one; their chances are normalised.
        points: the three points of each variable, not all equal.
        grid: hours from cell to cell; absent, the finest of `GRIDS` that answers at once.
    """
    ways = list(sums)
    step = grid or fitting(ways, points)
    found = [*_plain(ways), *_spread([way for way in ways if way.spread], points, step)]
    hours, parts, chances = (np.concatenate([piece[at] for piece in found]) for at in range(3))
    whole = sum([way.chance for way in ways])
    means = {name: float(mean_hours(hours)) for name, hours in points.items()}
    mean = sum([way.chance * (float(way.certain) + sum([means[name] for name in way.spread])) for way in ways])
    return Atoms(
        hours=hours,
        parts=parts,
        chances=chances / whole,
        mean_hours=mean / whole,
        mean_parts=sum([way.chance * way.parts for way in ways]) / whole,
        grid=float(step) if any(way.spread for way in ways) else 0.0,
    )


def fitting(ways: Sequence[Sum], points: Mapping[str, Hours]) -> Fraction:
    """The finest grid on which these ways are reckoned at once; 0.05 where none is."""
    spans = {name: hours.pessimistic - hours.optimistic for name, hours in points.items()}
    widest = max((sum(spans[name] for name in way.spread) for way in ways), default=0.0)
    products = sum(len(way.spread) for way in ways)
    groups = len({(way.certain % GRIDS[0], way.parts) for way in ways if way.spread})
    for step in GRIDS:
        many = widest / float(step)
        if many * products <= _PRODUCTS and many * groups <= _ATOMS:
            return step
    return max(GRIDS[-1], Fraction(ceil(20 * widest / _LONGEST), 20))


_Piece: TypeAlias = tuple[Floats, Floats, Floats]  # hours, parts, chances


def _plain(ways: Sequence[Sum]) -> Iterator[_Piece]:
    certain = [way for way in ways if not way.spread]
    if certain:
        yield (
            np.array([float(way.certain) for way in certain]),
            np.array([way.parts for way in certain]),
            np.array([way.chance for way in certain]),
        )


class _Way(NamedTuple):
    chance: float
    shift: int  # cells of the grid at which it begins
    wide: int  # cells that its variables span
    spread: bytes  # its variables, a bit each: eight of them side by side are a bunch


def _spread(ways: Sequence[Sum], points: Mapping[str, Hours], step: Fraction) -> Iterator[_Piece]:
    """The ways with three-point hours, in groups that lie on one grid and cost the same in parts."""
    if not ways:
        return
    names = list(dict.fromkeys([name for way in ways for name in way.spread]))
    rows = [cells(points[name], float(step)) for name in names]
    field = _Field(rows)
    least = {name: exact(points[name].optimistic) for name in names}
    wide = {name: len(row) - 1 for name, row in zip(names, rows, strict=True)}
    for (beside, parts), group in _groups(ways, least, wide, step):
        first = min([way.shift for way in group])
        chances = field.mixed(group, first)
        places = np.nonzero(chances)[0]
        hours = float(beside) + (places + first) * step.numerator / step.denominator
        yield hours, np.full(len(places), parts), chances[places]


def _groups(
    ways: Sequence[Sum], least: Mapping[str, Fraction], wide: Mapping[str, int], step: Fraction
) -> Iterable[tuple[tuple[Fraction, float], list[_Way]]]:
    """(hours beside the grid, parts) -> the ways. In whole numbers of a common denominator: fractions are slow."""
    certain = [way.certain.as_integer_ratio() for way in ways]
    whole = lcm(step.denominator, *{one.denominator for one in least.values()}, *{below for _, below in certain})
    cell, starts = int(step * whole), {name: int(one * whole) for name, one in least.items()}
    bits = {name: 1 << at for at, name in enumerate(least)}
    size = -(-len(bits) // 8)
    groups: dict[tuple[int, float], list[_Way]] = {}
    for way, (above, below) in zip(ways, certain, strict=True):
        names = way.spread
        shift, beside = divmod(above * (whole // below) + sum([starts[name] for name in names]), cell)
        spread = sum([bits[name] for name in names]).to_bytes(size, "little")
        one = _Way(way.chance, shift, sum([wide[name] for name in names]), spread)
        groups.setdefault((beside, way.parts), []).append(one)
    return (((Fraction(beside, whole), parts), group) for (beside, parts), group in groups.items())


class _Field:
    """Spectra: of each variable once for each length, and of sums of them.

    Products of a few variables that stand side by side are kept: ways have many of them in common.
    """

    __slots__ = ("_known", "_rows", "_stack")

    def __init__(self, rows: Sequence[Floats]) -> None:
        self._rows = rows
        self._known: dict[int, dict[int, Spectrum]] = {}  # by length, then by bunch
        self._stack: dict[int, list[Spectrum]] = {}

    def mixed(self, group: Sequence[_Way], first: int) -> Floats:
        """The chances of the cells from `first` on: sum over ways of chance times the convolution of its variables."""
        long = quick_length(1 + max([way.shift - first + way.wide for way in group]))
        total = self._total(group, first, long)
        whole = sum([way.chance for way in group])
        chances = np.fft.irfft(total, long)
        chances[chances < _NOISE * whole] = 0.0
        return np.asarray(chances * (whole / chances.sum()), dtype=np.float64)

    def _total(self, group: Sequence[_Way], first: int, long: int) -> Spectrum:
        """The spectrum of the mixture. Ways that begin at the same cell are summed before they are moved there."""
        by_shift: dict[int, Spectrum] = {}
        weighed = np.empty(long // 2 + 1, dtype=np.complex128)
        for way, product in self._products(group, long):
            held = by_shift.get(way.shift)
            if held is None:
                by_shift[way.shift] = product * way.chance
            else:
                np.multiply(product, way.chance, out=weighed)
                held += weighed
        roots: Spectrum = np.exp(-2j * np.pi / long * np.arange(long))
        places = np.arange(long // 2 + 1)
        total = np.zeros_like(weighed)
        for shift, held in by_shift.items():
            total += held * roots[places * (shift - first) % long]
        return total

    def _products(self, group: Sequence[_Way], long: int) -> Iterator[tuple[_Way, Spectrum]]:
        """The product of each way's spectra, good until the next; ways that begin alike share what they begin with."""
        known = self._known.setdefault(long, {})
        stack = self._stack.setdefault(long, [np.ones(long // 2 + 1, dtype=np.complex128)])
        size = len(group[0].spread)
        stack += [np.empty_like(stack[0]) for _ in range(len(stack), size + 1)]
        top = [0] * (size + 1)  # where the product of the first bunches stands: the same place where one is empty
        held = b""
        for way in sorted(group, key=lambda one: one.spread):
            same = 0
            for one, other in zip(held, way.spread, strict=False):
                if one != other:
                    break
                same += 1
            held = way.spread
            for depth in range(same, size):
                inside = held[depth]
                if not inside:
                    top[depth + 1] = top[depth]
                    continue
                here = known.get(depth << 8 | inside)
                if here is None:
                    here = self._spectrum(depth << 8 | inside, long)
                np.multiply(stack[top[depth]], here, out=stack[depth + 1])
                top[depth + 1] = depth + 1
            yield way, stack[top[size]]

    def _spectrum(self, bunch: int, long: int) -> Spectrum:
        """The product of a bunch's variables: of the bunch without its last one, and that."""
        known = self._known[long]
        found = known.get(bunch)
        if found is None:
            first, inside = bunch & ~0xFF, bunch & 0xFF
            last = inside.bit_length() - 1
            rest = inside ^ 1 << last
            if rest:
                found = self._spectrum(first | rest, long) * self._spectrum(first | 1 << last, long)
            else:
                found = np.fft.rfft(self._rows[(first >> 5) + last], long)
            known[bunch] = found
        return found


def quick_length(least: int) -> int:
    """The least of 2, 3 and 5 times a power of two that is even and `least` or more.

    Its transform is quick, and groups of about one length share their spectra.
    """
    return min(small << max(1, (-(-least // small) - 1).bit_length()) for small in (1, 3, 5))
