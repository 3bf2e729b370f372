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
Integers: TypeAlias = NDArray[np.intp]
Flags: TypeAlias = NDArray[np.bool_]

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
# Numbers of a product that are worked out together: half a megabyte.
_TOGETHER = 1 << 15


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


class _Group(NamedTuple):
    """Ways whose hours lie on one grid and that cost the same in parts."""

    chance: Floats  # (ways,)
    shift: Integers  # (ways,): the cell of the grid at which each begins
    beside: Integers  # (ways,): the part of it that is not of its variables' least hours
    holds: Flags  # (ways, variables)

    def some(self, ways: Integers | Flags) -> "_Group":
        """A part of it."""
        return _Group(self.chance[ways], self.shift[ways], self.beside[ways], self.holds[ways])


def _spread(ways: Sequence[Sum], points: Mapping[str, Hours], step: Fraction) -> Iterator[_Piece]:
    """The ways with three-point hours, in groups that lie on one grid and cost the same in parts."""
    if not ways:
        return
    met = frozenset[str]().union(*[way.spread for way in ways])
    names = [name for name in points if name in met]
    least = {name: exact(points[name].optimistic) for name in names}
    field = _Field(cells([points[name] for name in names], float(step)), [int(one // step) for one in least.values()])
    for (beside, parts), group in _groups(ways, least, step):
        first = int(group.shift.min())
        chances = field.mixed(group, first)
        places = np.nonzero(chances)[0]
        hours = float(beside) + (places + first) * step.numerator / step.denominator
        yield hours, np.full(len(places), parts), chances[places]


def _groups(
    ways: Sequence[Sum], least: Mapping[str, Fraction], step: Fraction
) -> Iterator[tuple[tuple[Fraction, float], _Group]]:
    """(hours beside the grid, parts) -> the ways. In whole numbers of a common denominator: fractions are slow."""
    certain = [way.certain.as_integer_ratio() for way in ways]
    whole = lcm(step.denominator, *{one.denominator for one in least.values()}, *{below for _, below in certain})
    cell, starts = int(step * whole), {name: int(one * whole) for name, one in least.items()}
    place = {name: at for at, name in enumerate(least)}
    holds = np.zeros((len(ways), len(place)), dtype=np.bool_)
    columns = [place[name] for way in ways for name in way.spread]
    holds[np.repeat(np.arange(len(ways)), [len(way.spread) for way in ways]), columns] = True
    groups: dict[tuple[int, float], tuple[list[int], list[int]]] = {}
    for at, (way, (above, below)) in enumerate(zip(ways, certain, strict=True)):
        shift, beside = divmod(above * (whole // below) + sum(map(starts.__getitem__, way.spread)), cell)
        rows, shifts = groups.setdefault((beside, way.parts), ([], []))
        rows.append(at)
        shifts.append(shift)
    chances = np.array([way.chance for way in ways])
    own = holds @ np.array([int(one // cell) for one in starts.values()])
    for (beside, parts), (rows, shifts) in groups.items():
        begins = np.array(shifts)
        yield (Fraction(beside, whole), parts), _Group(chances[rows], begins, begins - own[rows], holds[rows])


class _Field:
    """Spectra of each variable, once for each length, and of mixtures of sums of them."""

    __slots__ = ("_circles", "_least", "_ones", "_rows", "_wide")

    def __init__(self, rows: Sequence[Floats], least: Sequence[int]) -> None:
        """Of variables: their chances, and the cell from which each is reckoned."""
        self._rows, self._least = rows, np.array(least)
        self._wide = np.array([len(row) - 1 for row in rows])
        self._ones: dict[tuple[int, int], Spectrum] = {}  # by length and variable
        self._circles: dict[int, Spectrum] = {}  # by length

    def mixed(self, group: _Group, first: int) -> Floats:
        """The chances of the cells from `first` on: sum over ways of chance times the convolution of its variables."""
        long = quick_length(1 + int((group.shift - first + group.holds @ self._wide).max()))
        total = np.zeros(long // 2 + 1, dtype=np.complex128)
        if len(group.chance) < _MANY:
            self._add_one_by_one(total, group, first, long)
        else:
            for run in _runs(group):
                self._add(total, run, first, long)
        chances = np.fft.irfft(total, long)
        whole = float(group.chance.sum())
        chances[chances < _NOISE * whole] = 0.0
        return np.asarray(chances * (whole / chances.sum()), dtype=np.float64)

    def _add_one_by_one(self, total: Spectrum, group: _Group, first: int, long: int) -> None:
        """Add the spectrum of a few ways."""
        places = np.arange(len(total))
        for chance, shift, holds in zip(group.chance.tolist(), group.shift.tolist(), group.holds, strict=True):
            product = np.full(len(total), chance, dtype=np.complex128)
            for at in holds.nonzero()[0].tolist():
                product *= self._one(at, long)
            if shift > first:
                product *= self._circle(long)[places * (shift - first) % long]
            total += product

    def _add(self, total: Spectrum, run: _Group, first: int, long: int) -> None:
        """Add the spectrum of a run of ways, some frequencies at a time, so that their products stay in the cache."""
        met = np.nonzero(run.holds.any(axis=0))[0]
        ones = np.array([self._one(at, long) for at in met.tolist()])
        heard = _heard(run, ones)
        bunches = _bunches(run.holds[:, met])
        roots = self._circle(long)
        # Moved to their least hours here, so that only what is beside the variables is left of where a way begins.
        ones = ones[:, :heard] * roots[np.outer(self._least[met], np.arange(heard)) % long]
        besides, begins = np.unique(run.beside, return_index=True)  # in a run the ways stand in order of `beside`
        many = max(1, _TOGETHER // len(run.chance))
        for start in range(0, heard, many):
            here = slice(start, min(start + many, heard))
            held = np.add.reduceat(_products(bunches, ones[:, here]) * run.chance[:, None], begins, axis=0)
            places = np.arange(here.start, here.stop)
            total[here] += (held * roots[np.outer(besides - first, places) % long]).sum(axis=0)

    def _one(self, at: int, long: int) -> Spectrum:
        """The spectrum of one variable's cells."""
        found = self._ones.get((long, at))
        if found is None:
            found = self._ones[long, at] = np.fft.rfft(self._rows[at], long)
        return found

    def _circle(self, long: int) -> Spectrum:
        """What a move by so many cells makes of the lowest frequency, for each number of them."""
        found = self._circles.get(long)
        if found is None:
            found = self._circles[long] = np.exp(-2j * np.pi / long * np.arange(long))
        return found


def _heard(run: _Group, ones: Spectrum) -> int:
    """The number of frequencies, from the lowest, beyond which all products of these ways are below `_FAINT`.

    A spectrum is nowhere larger than 1, so a way's product is at most that of the loudest few of all variables of
    the run, as many as the way with the fewest has.
    """
    if len(run.chance) < _MANY:
        return len(ones[0])
    loud = np.sort(np.abs(ones), axis=0)[-int(run.holds.sum(axis=1).min()) :]
    above = np.nonzero(loud.prod(axis=0) >= _FAINT)[0]
    return int(above[-1]) + 1 if len(above) else 1


_Bunch: TypeAlias = tuple[slice, Integers]  # variables side by side; (ways,): which of them, a bit each


def _bunches(holds: Flags) -> list[_Bunch]:
    """A few variables at a time: the more ways there are, the more pay for multiplying out all that these may hold."""
    ways, variables = holds.shape
    size = max(1, min(8, ways.bit_length() - 2))
    found = []
    for begin in range(0, variables, size):
        here = slice(begin, min(begin + size, variables))
        found.append((here, holds[:, here] @ (1 << np.arange(here.stop - begin))))
    return found


def _products(bunches: Sequence[_Bunch], ones: Spectrum) -> Spectrum:
    """(ways, frequencies): the product of each way's spectra."""
    product: Spectrum | None = None
    for variables, which in bunches:
        table = np.ones((1, ones.shape[1]), dtype=np.complex128)
        for one in ones[variables]:
            table = np.concatenate([table, table * one])
        product = table[which] if product is None else np.multiply(product, table[which], out=product)
    assert product is not None  # a way has a variable
    return product


def _runs(group: _Group) -> Iterator[_Group]:
    """Ways with about as many variables, fewer than twice as many as any other of the run; by what is beside them."""
    ordered = group.some(np.argsort(group.beside, kind="stable"))
    lengths = np.frexp(ordered.holds.sum(axis=1))[1]
    for length in sorted(set(lengths.tolist())):
        yield ordered.some(lengths == length)


def quick_length(least: int) -> int:
    """The least of 2, 3 and 5 times a power of two that is even and `least` or more.

    Its transform is quick, and groups of about one length share their spectra.
    """
    return min(small << max(1, (-(-least // small) - 1).bit_length()) for small in (1, 3, 5))
