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
# Frequencies at which no product of spectra is larger are left out: together they move no cell by more than this share
# of its run. A sum of many spread hours is smooth, and most of its frequencies are such.
_FAINT = 1e-17
_MANY = 16  # ways; fewer are sooner multiplied out than looked over


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
    mean = sum([way.chance * (_number(way.certain) + sum(map(means.__getitem__, way.spread))) for way in ways])
    return Atoms(
        hours=hours,
        parts=parts,
        chances=chances / whole,
        mean_hours=mean / whole,
        mean_parts=sum([way.chance * way.parts for way in ways]) / whole,
        grid=float(step) if any(way.spread for way in ways) else 0.0,
    )


def _number(exactly: Fraction) -> float:
    """What `float` makes of it, in a fifth of the time."""
    above, below = exactly.as_integer_ratio()
    return above / below


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
    many: int  # its variables
    spread: bytes  # its variables, a bit each: eight of them side by side are a bunch


def _spread(ways: Sequence[Sum], points: Mapping[str, Hours], step: Fraction) -> Iterator[_Piece]:
    """The ways with three-point hours, in groups that lie on one grid and cost the same in parts."""
    if not ways:
        return
    met = frozenset[str]().union(*[way.spread for way in ways])
    names = [name for name in points if name in met]
    rows = cells([points[name] for name in names], float(step))
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
        shift, beside = divmod(above * (whole // below) + sum(map(starts.__getitem__, names)), cell)
        spread = sum(map(bits.__getitem__, names)).to_bytes(size, "little")
        one = _Way(way.chance, shift, sum(map(wide.__getitem__, names)), len(names), spread)
        groups.setdefault((beside, way.parts), []).append(one)
    return (((Fraction(beside, whole), parts), group) for (beside, parts), group in groups.items())


class _Field:
    """Spectra: of each variable once for each length, and of sums of them.

    Products of a few variables that stand side by side are kept: ways have many of them in common.
    """

    __slots__ = ("_known", "_ones", "_rows", "_stack")

    def __init__(self, rows: Sequence[Floats]) -> None:
        self._rows = rows
        self._ones: dict[tuple[int, int], Spectrum] = {}  # by length and variable
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
        total = np.zeros(long // 2 + 1, dtype=np.complex128)
        roots: Spectrum = np.exp(-2j * np.pi / long * np.arange(long))
        for run in _runs(group):
            heard = self._heard(run, long)
            places = np.arange(heard)
            for shift, held in self._by_shift(run, long, heard).items():
                total[:heard] += held.view(np.complex128) * roots[places * (shift - first) % long]
        return total

    def _by_shift(self, run: Sequence[_Way], long: int, heard: int) -> dict[int, Floats]:
        """Cell at which ways begin -> the sum of their spectra, each by its chance; as in `_products`."""
        found: dict[int, Floats] = {}
        weighed = np.empty(2 * heard)
        for way, product in self._products(run, long, heard):
            held = found.get(way.shift)
            if held is None:
                found[way.shift] = product * way.chance
            else:
                np.multiply(product, way.chance, out=weighed)
                held += weighed
        return found

    def _heard(self, run: Sequence[_Way], long: int) -> int:
        """The number of frequencies, from the lowest, beyond which all products of these ways are below `_FAINT`.

        A spectrum is nowhere larger than 1, so a way's product is at most that of the loudest few of all variables of
        the run, as many as the way with the fewest has.
        """
        every = long // 2 + 1
        if len(run) < _MANY:
            return every
        together = 0
        for way in run:
            together |= int.from_bytes(way.spread, "little")
        met = [at for at in range(together.bit_length()) if together >> at & 1]
        loud = np.sort(np.abs([self._one(at, long) for at in met]), axis=0)[-min([way.many for way in run]) :]
        above = np.nonzero(loud.prod(axis=0) >= _FAINT)[0]
        return int(above[-1]) + 1 if len(above) else 1

    def _products(self, group: Sequence[_Way], long: int, heard: int) -> Iterator[tuple[_Way, Floats]]:
        """The product of each way's spectra, good until the next; ways that begin alike share what they begin with.

        Real and imaginary parts side by side: to weigh and to add them so takes half the time.
        """
        known = self._known.setdefault(long, {}) if heard > long // 2 else {}
        size = len(group[0].spread)
        stack = self._stacked(long, heard, size)
        flat = [one.view(np.float64) for one in stack]
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
                    here = self._bunch(known, depth << 8 | inside, long, heard)
                np.multiply(stack[top[depth]], here, out=stack[depth + 1])
                top[depth + 1] = depth + 1
            yield way, flat[top[size]]

    def _stacked(self, long: int, heard: int, size: int) -> list[Spectrum]:
        """Room for the products of the first bunches of a way, from none to all; that of none is 1."""
        stack = self._stack.setdefault(long, [np.ones(long // 2 + 1, dtype=np.complex128)])
        stack += [np.empty_like(stack[0]) for _ in range(len(stack), size + 1)]
        return [one[:heard] for one in stack]

    def _bunch(self, known: dict[int, Spectrum], bunch: int, long: int, heard: int) -> Spectrum:
        """The product of a bunch's variables: of the bunch without its last one, and that."""
        found = known.get(bunch)
        if found is None:
            depth, inside = bunch >> 8, bunch & 0xFF
            last = inside.bit_length() - 1
            found = self._one(8 * depth + last, long)[:heard]
            if rest := inside ^ 1 << last:
                found = self._bunch(known, depth << 8 | rest, long, heard) * found
            known[bunch] = found
        return found

    def _one(self, at: int, long: int) -> Spectrum:
        """The spectrum of one variable."""
        found = self._ones.get((long, at))
        if found is None:
            found = self._ones[long, at] = np.fft.rfft(self._rows[at], long)
        return found


def _runs(group: Sequence[_Way]) -> Iterable[list[_Way]]:
    """Ways with about as many variables, fewer than twice as many as any other of the run."""
    found: dict[int, list[_Way]] = {}
    for way in group:
        found.setdefault(way.many.bit_length(), []).append(way)
    return found.values()


def quick_length(least: int) -> int:
    """The least of 2, 3 and 5 times a power of two that is even and `least` or more.

    Its transform is quick, and groups of about one length share their spectra.
    """
    return min(small << max(1, (-(-least // small) - 1).bit_length()) for small in (1, 3, 5))
