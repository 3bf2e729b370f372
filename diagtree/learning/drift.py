"""Rows that differ between builds or between revisions of a tree by more than chance: a pooled number hides two."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import erfc, exp, pi, sqrt
from typing import Literal, TypeAlias

from diagtree.learning.cases import Shown, row_key
from diagtree.model.library import Library

By: TypeAlias = Literal["build", "revision"]

# Cars below which a group is left out, and the chance from which a difference is told. Many rows are looked at.
LEAST = 20
_RARE = 1e-4


@dataclass(frozen=True, slots=True)
class Drift:
    """A row that differs between groups of jobs."""

    check: str
    cause: str  # the key of the row
    by: By
    shares: Mapping[str, tuple[float, ...]]  # group -> how often each answer was seen, in the check's order
    cars: Mapping[str, int]  # group -> how many
    chance: float  # of so large a difference where there is none


def drifts(library: Library, shown: Iterable[Shown]) -> tuple[Drift, ...]:
    """The rows that differ, the surest first.

    Args:
        library: that the jobs fit.
        shown: answers of jobs of known fault, with build and revision where they are known.
    """
    kept = tuple(shown)
    found = [one for by in ("build", "revision") for one in _by(library, kept, by)]
    return tuple(sorted(found, key=lambda one: one.chance))


def _by(library: Library, shown: Iterable[Shown], by: By) -> Iterator[Drift]:
    counts: dict[tuple[str, str], dict[str, dict[str, int]]] = {}
    for one in shown:
        group = one.build if by == "build" else one.revision
        key = row_key(library, one.check, one.fault)
        if group and key is not None:
            groups = counts.setdefault((one.check, key), {})
            answers = groups.setdefault(group, {})
            answers[one.answer] = answers.get(one.answer, 0) + one.many
    for (check, key), groups in counts.items():
        many = {group: answers for group, answers in groups.items() if sum(answers.values()) >= LEAST}
        if len(many) > 1:
            chance = _alike(list(many.values()))
            if chance < _RARE:
                yield _drift(library, check, key, by, many, chance)


def _drift(  # noqa: PLR0913, PLR0917
    library: Library, check: str, key: str, by: By, groups: Mapping[str, Mapping[str, int]], chance: float
) -> Drift:
    names = [answer.id for answer in library.checks[check].answers]
    cars = {group: sum(answers.values()) for group, answers in groups.items()}
    shares = {group: tuple(answers.get(name, 0) / cars[group] for name in names) for group, answers in groups.items()}
    return Drift(check, key, by, shares, cars, chance)


def _alike(groups: list[Mapping[str, int]]) -> float:
    """The chance of so large a difference where there is none (Pearson's test of homogeneity)."""
    answers = sorted({answer for group in groups for answer in group})
    if len(answers) < 2:
        return 1.0
    totals = [sum(group.values()) for group in groups]
    every = sum(totals)
    statistic = 0.0
    for answer in answers:
        share = sum(group.get(answer, 0) for group in groups) / every
        statistic += sum(
            (group.get(answer, 0) - share * total) ** 2 / (share * total)
            for group, total in zip(groups, totals, strict=True)
        )
    return above(statistic, (len(answers) - 1) * (len(groups) - 1))


def above(statistic: float, freedom: int) -> float:
    """P(a chi-squared variable of so many degrees of freedom, at least 1, is at least `statistic`).

    Source: the closed forms for whole and half numbers, Abramowitz and Stegun 26.4.4 and 26.4.5, from memory; checked
    against scipy.
    """
    half = statistic / 2
    if half <= 0:
        return 1.0
    odd = bool(freedom % 2)
    total = erfc(sqrt(half)) if odd else 0.0
    term = 2 * sqrt(half / pi) * exp(-half) if odd else exp(-half)
    for step in range(freedom // 2):
        total += term
        term *= half / (step + (1.5 if odd else 1.0))
    return min(1.0, total)
