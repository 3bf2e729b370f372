"""What the rules of judgement share: which trees can be judged, and the builds that answer alike in them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree, targets
from diagtree.rules.rings import rings
from diagtree.rules.survey import Made, served_builds

if TYPE_CHECKING:
    from diagtree.reason.tables import Floats

Rows = tuple[tuple[float, ...], ...]
Unseen = frozenset[tuple[str, str]]  # (check, answer) that an engine cannot show


class Alike(NamedTuple):
    """Builds in which a tree's causes are equally common, and the same of its checks apply and can show the same."""

    made: tuple[Made, ...]
    prior: tuple[float, ...]  # of each cause, sum 1
    applies: frozenset[str]
    rows: Mapping[str, Rows]  # check -> for each answer P(answer | cause); 0 for what the engine cannot show
    unseen: Unseen


@dataclass(frozen=True, slots=True)
class Knowledge:
    """A tree's tables as plain numbers: paths are followed one by one, and each has few causes."""

    causes: tuple[str, ...]
    builds: tuple[Alike, ...]


def sound_trees(library: Library) -> Iterator[Tree]:
    """The trees that can be judged. What follows from an error is not told a second time."""
    return (tree for tree in library.trees.values() if _sound(library, tree))


def _sound(library: Library, tree: Tree) -> bool:
    return (
        tree.start in tree.nodes
        and all(_known(library, tree, node) for node in tree.nodes.values())
        and all(name in library.faults or name in library.trees for name in tree.weights)
        and not any(rings({node.id: targets(node) for node in tree.nodes.values()}))
    )


def _known(library: Library, tree: Tree, node: Node) -> bool:
    if isinstance(node, Outcome):
        return all(name in library.faults and name in tree.weights for name in node.faults)
    if isinstance(node, Onward):
        return node.tree in library.trees and node.tree in tree.weights
    asked = library.checks.get(node.check)
    if asked is None or not asked.answers or any(end not in tree.nodes for end in targets(node)):
        return False
    many = len(asked.answers)
    return set(node.then) == {answer.id for answer in asked.answers} and all(
        len(row) == many for row in asked.given.values()
    )


def knowledge(library: Library, tree: Tree) -> Knowledge:
    """The tables of a tree for the builds that it serves. Builds without any weight are left out: that is an error."""
    # Imported here: numpy is slow to load, and a list of the rules needs none of it.
    import numpy as np

    from diagtree.reason.tables import tables

    made = tuple(served_builds(library, tree))
    known = tables(library, tree, (replace(build, share=1.0) for _, build in made), tree.checks)
    usual = {check: _plain(table) for check, table in known.rows.items()}
    engines = {engine.id: engine for engine, _ in made}
    shown = {name: _shown(library, engine, known.causes, usual) for name, engine in engines.items()}
    groups: dict[tuple[tuple[float, ...], frozenset[str], Unseen], list[Made]] = {}
    for column, one in enumerate(made):
        logs = known.log_prior[:, column]
        top = logs.max(initial=-np.inf)
        if top > -np.inf:
            weights = np.exp(logs - top)
            applies = frozenset(check for check, flags in known.applies.items() if flags[column])
            key = tuple((weights / weights.sum()).tolist()), applies, shown[one[0].id][1]
            groups.setdefault(key, []).append(one)
    alike = (
        Alike(tuple(one), prior, applies, shown[one[0][0].id][0], unseen)
        for (prior, applies, unseen), one in groups.items()
    )
    return Knowledge(known.causes, tuple(alike))


def _shown(
    library: Library, engine: Engine, causes: tuple[str, ...], usual: Mapping[str, Rows]
) -> tuple[Mapping[str, Rows], Unseen]:
    """The rows as they hold for an engine, in the order of the answers as written; and what it cannot show."""
    from diagtree.graph.serving import suited
    from diagtree.reason.tables import rows

    found, unseen = dict(usual), set[tuple[str, str]]()
    for name, fewer in suited(library, engine).checks.items():
        asked = library.checks[name]
        if name not in usual or fewer is asked:
            continue
        able = dict(zip((one.id for one in fewer.answers), _plain(rows(library, fewer, causes)), strict=True))
        found[name] = tuple(able.get(one.id, (0.0,) * len(causes)) for one in asked.answers)
        unseen |= {(name, one.id) for one in asked.answers if one.id not in able}
    return found, frozenset(unseen)


def _plain(table: "Floats") -> Rows:
    return tuple(tuple(row) for row in table.tolist())


def counts_from(library: Library, tree: Tree, check: str, start: str) -> bool:
    """Whether the answer of a check can still matter from a node on.

    It can where the check is asked again, decides whether another may be asked, or where the walk may go on in another
    tree, which keeps all answers.
    """
    met: set[str] = set()
    waiting = [start]
    while waiting:
        name = waiting.pop()
        if name in met:
            continue
        met.add(name)
        node = tree.nodes[name]
        if isinstance(node, Onward):
            return True
        if isinstance(node, Question) and (node.check == check or check in library.checks[node.check].never_after):
            return True
        waiting.extend(targets(node))
    return False


def same_ends(tree: Tree) -> dict[str, int]:
    """A number for each node, equal for nodes from which the same questions lead to the same ends.

    The tree must be free of rings.
    """
    from graphlib import TopologicalSorter

    forms: dict[object, int] = {}
    found: dict[str, int] = {}
    for name in TopologicalSorter({node.id: targets(node) for node in tree.nodes.values()}).static_order():
        found[name] = forms.setdefault(_form(tree.nodes[name], found), len(forms))
    return found


def _form(node: Node, found: Mapping[str, int]) -> object:
    if isinstance(node, Outcome):
        return "outcome", frozenset(node.faults), frozenset(node.cautions)
    if isinstance(node, Onward):
        return "onward", node.tree
    ends = frozenset((answer, found[end]) for answer, end in node.then.items())
    return node.check, ends, found.get(node.otherwise, -1)
