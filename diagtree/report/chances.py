"""Chances as people read them: counts of one hundred cars like this, with their ground."""

from collections.abc import Mapping, Sequence
from math import floor
from typing import TypedDict

from diagtree.model.fault import OTHER
from diagtree.model.library import Library
from diagtree.model.tree import Tree

_AUTHOR = "the author's estimate, no closed jobs"
_STEP = 5
_EPSILON = 1e-9  # so that a half that lost its last bit is still a half


class Chance(TypedDict):
    """One row of a belief in JSON."""

    fault: str
    probability: float


def in_hundred(probability: float) -> str:
    """'about 40 in 100': to the nearest 5, never 0 or 100."""
    percent = 100 * probability
    if percent < _STEP - _EPSILON:
        return "fewer than 5 in 100"
    if percent > 100 - _STEP + _EPSILON:
        return "more than 95 in 100"
    return f"about {floor(percent / _STEP + 0.5 + _EPSILON) * _STEP:.0f} in 100"


def ground(tree: Tree) -> str:
    """What the chances of a tree's causes rest on."""
    jobs = tree.closed_jobs
    return f"from {jobs} closed job{'s' if jobs > 1 else ''}" if jobs else _AUTHOR


def ranked(by_fault: Mapping[str, float]) -> list[tuple[str, float]]:
    """Causes by falling probability; ties in the tree's order."""
    return sorted(by_fault.items(), key=lambda pair: -pair[1])


def as_data(by_fault: Mapping[str, float]) -> list[Chance]:
    """The `belief` of a report in JSON, the likeliest first."""
    return [Chance(fault=fault, probability=probability) for fault, probability in ranked(by_fault)]


def as_lines(library: Library, by_fault: Mapping[str, float]) -> list[str]:
    """A line for each cause that 5 or more in 100 such cars have, then one for how many more there are."""
    shown = [(fault, chance) for fault, chance in ranked(by_fault) if 100 * chance >= _STEP - _EPSILON]
    lines = [f"{in_hundred(chance)}: {title(library, fault)}" for fault, chance in shown]
    rare = len(by_fault) - len(shown)
    if rare:
        lines.append(f"fewer than 5 in 100 each: {rare} more {'causes' if rare > 1 else 'cause'}")
    return lines


def one_of(titles: Sequence[str]) -> str:
    """Causes that were not told apart: 'one of: A; B'. Titles may hold commas of their own. One alone is its title."""
    return f"one of: {'; '.join(titles)}" if len(titles) > 1 else "".join(titles)


def title(library: Library, cause: str) -> str:
    """A cause in words: a fault, a tree to go on in, or `other`."""
    if cause == OTHER:
        return "a cause that is not in this tree"
    if cause in library.faults:
        return library.faults[cause].title
    return f"{library.trees[cause].title} (a tree of its own)" if cause in library.trees else cause
