"""Which of the proposed numbers can be written where they stand: a row, or a tree's weights, as a whole or not."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace

from diagtree.learning.proposal import Ground, Number, Proposal
from diagtree.model.library import Library
from diagtree.model.problem import Place
from diagtree.source.patching import Edit, stands

Entry = tuple[str, str, str]  # check, tree, key of the row: what is written together


def writable(library: Library, texts: Mapping[str, str], proposal: Proposal) -> tuple[Proposal, tuple[Entry, ...]]:
    """The proposal without what can't be written, and that.

    A number that is written once and used in several places (an alias) would change there as well, unasked.
    """
    shared = Counter(_places(library))
    stuck = {
        _entry(one)
        for one in proposal.numbers
        if shared[one.place] > 1 or not stands(texts.get(one.place.file, ""), one.place)
    }
    kept = tuple(one for one in proposal.numbers if _entry(one) not in stuck)
    return replace(proposal, numbers=kept), tuple(sorted(stuck))


def edits(proposal: Proposal) -> tuple[Edit, ...]:
    """What is written: the numbers, and on how many jobs they rest."""
    numbers = [Edit(one.place, one.after) for one in proposal.numbers]
    return (*numbers, *(Edit(one.place, one.after) for one in proposal.grounds if _told(one) and one.place))


def _told(one: Ground) -> bool:
    return one.before != one.after


def _entry(one: Number) -> Entry:
    return (one.check, one.tree, one.cause if one.check else "")


def _places(library: Library) -> Iterator[Place]:
    """Where the numbers of all rows and weights stand, once for each that uses them."""
    for check in library.checks.values():
        for key in check.given:
            whole = library.value("checks", check.id, "given", key)
            yield whole
            yield from (place for place in _answers(library, check.id, key) if place != whole)
    for tree in library.trees.values():
        yield library.value("tree", tree.id, "other")
        for cause, amount in tree.weights.items():
            paths = [(cause, amount.feature, value) for value in amount.by_value] if amount.feature else [(cause,)]
            yield from (library.value("tree", tree.id, "weights", *path) for path in paths)


def _answers(library: Library, check: str, key: str) -> Iterator[Place]:
    return (library.value("checks", check, "given", key, answer.id) for answer in library.checks[check].answers)
