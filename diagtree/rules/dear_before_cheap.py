"""A dear check before a cheap one that would often spare it.

Told only where it can be reckoned: every way to the cheap check comes straight from the dear one; after some of the
cheap one's answers the same follows whatever the dear one shows; asked the other way round, with the dear one left out
after those answers, each car ends where it ended before; and the mean cost of walking the tree falls by at least 2 % in
every build that has both checks, and in no build rises. The cheap one costs at most three quarters of the dear one,
with its own access. Checks that wait longer, want another temperature, or are forbidden by each other's answers stay
as they are. A tree of more than 200 nodes, or of very many states, is not judged.

Wrong:
    nodes:
      pickup: {check: pickup-view, then: {clear: pressure-a, sludge: pressure-b}}       # sump off: 3 h
      pressure-a: {check: oil-pressure, then: {low: pump, ok: soak}}                    # gauge: 0.3 h
      pressure-b: {check: oil-pressure, then: {low: sludge, ok: soak}}
Right:
    nodes:
      pressure: {check: oil-pressure, then: {low: pickup, ok: soak}}
      pickup: {check: pickup-view, then: {clear: pump, sludge: sludge}}
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from diagtree.model.check import Check
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.model.tree import Node, Onward, Outcome, Question, Tree, targets
from diagtree.rules.judging import counts_from, same_ends, sound_trees
from diagtree.rules.survey import served_builds

if TYPE_CHECKING:
    from diagtree.reason.case import Asked, Case

ID = "dear-before-cheap"
SEVERITY: Severity = "warning"

_PRICE = 0.75  # of the dear check's price: what the cheap one may cost
_SHARE = 0.02  # of the cost of walking the tree: what the other order must save
_MOST_NODES = 200
_MOST_STATES = 5000  # of access and answers, in one build; costs a tenth of a second

ELSE = ""  # the answer that cannot be had, beside a check's own


class _Pair(NamedTuple):
    """A check and the one that is asked right after it."""

    node: Question
    dear: Check
    cheap: Check
    after: Mapping[str, Mapping[str, str]]  # answer of the dear one -> answer of the cheap one -> node


@dataclass(frozen=True, slots=True)
class _Saving:
    """What the other order saves: the least share over the builds."""

    pair: _Pair
    share: float
    spared: tuple[str, ...]  # answers of the cheap check after which the dear one is not needed


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such question, at its check."""
    for tree in sound_trees(library):
        if len(tree.nodes) <= _MOST_NODES:
            same = same_ends(tree)
            pairs = [(pair, spared) for pair in _pairs(library, tree) if (spared := _spared(library, tree, pair, same))]
            for saving in _savings(library, tree, pairs) if pairs else ():
                yield _problem(library, tree, saving)


def _pairs(library: Library, tree: Tree) -> Iterator[_Pair]:
    """The pairs whose order may be changed as far as the checks themselves go."""
    above: dict[str, set[str]] = {tree.start: {""}}
    for node in tree.nodes.values():
        for end in targets(node):
            above.setdefault(end, set()).add(node.id)
    for node in tree.questions:
        for name in _followers(tree, node):
            pair = _pair(library, tree, node, name)
            asked = [end for end in targets(node) if _asks(tree, end, name)]
            # Asked first, the cheap one comes on every way: nothing may forbid it on those on which it did not.
            allowed = pair and (len(asked) == len(targets(node)) or not pair.cheap.never_after)
            if pair and allowed and all(above[end] == {node.id} for end in asked) and _free(pair.dear, pair.cheap):
                yield pair


def _followers(tree: Tree, node: Question) -> dict[str, None]:
    """The other checks that are asked right after a question."""
    ends = (tree.nodes[end] for end in targets(node))
    return {end.check: None for end in ends if isinstance(end, Question) and end.check != node.check}


def _asks(tree: Tree, name: str, check_id: str) -> bool:
    node = tree.nodes[name]
    return isinstance(node, Question) and node.check == check_id


def _free(dear: Check, cheap: Check) -> bool:
    """Whether neither check says that it must not come before or after the other."""
    return (
        dear.id not in cheap.never_after
        and cheap.id not in dear.never_after
        and (dear.needs, dear.leaves) == (cheap.needs, cheap.leaves)
        and cheap.wait <= dear.wait
    )


def _pair(library: Library, tree: Tree, node: Question, name: str) -> _Pair | None:
    """What follows both answers; None where some way lacks a `else` that another has."""
    cheap = library.checks[name]
    ways = dict(node.then) | ({ELSE: node.otherwise} if node.otherwise else {})
    askers = [end for end in (tree.nodes[way] for way in ways.values()) if isinstance(end, Question)]
    untold = {bool(end.otherwise) for end in askers if end.check == name}
    if len(untold) > 1 or (untold == {False} and cheap.when.terms):
        return None
    answers = [*(answer.id for answer in cheap.answers), *([ELSE] if untold == {True} else [])]
    after = {answer: {seen: _next(tree, way, name, seen) for seen in answers} for answer, way in ways.items()}
    return _Pair(node, library.checks[node.check], cheap, after)


def _next(tree: Tree, way: str, name: str, seen: str) -> str:
    node = tree.nodes[way]
    if not isinstance(node, Question) or node.check != name:
        return way
    return node.then[seen] if seen else node.otherwise


def _spared(library: Library, tree: Tree, pair: _Pair, same: Mapping[str, int]) -> tuple[str, ...]:
    """The cheap check's answers after which the dear one changes nothing; none where that is so after all of them."""
    first = next(iter(pair.after.values()))
    found = tuple(
        seen
        for seen in first
        if len({same[ends[seen]] for ends in pair.after.values()}) == 1
        and not counts_from(library, tree, pair.dear.id, first[seen])
    )
    return found if any(found) and len(found) < len(first) else ()


def _savings(library: Library, tree: Tree, pairs: list[tuple[_Pair, tuple[str, ...]]]) -> Iterator[_Saving]:
    """Those of the pairs for which the other order is cheaper in every build."""
    from diagtree.reason.case import case

    # Both orders go on in another tree with the same cars, so that what it costs there is left out of both.
    plain = replace(tree, nodes={name: _ended(node) for name, node in tree.nodes.items()})
    cases = [case(library, plain, engine, build) for engine, build in served_builds(library, plain)]
    cases = [of for of in cases if of.prior.any()]
    if not all(_small(of) for of in cases):
        return
    before = [_cost(of) for of in cases]
    for pair, spared in pairs:
        other = _swapped(plain, pair, spared)
        shares = [
            share
            for of, cost in zip(cases, before, strict=True)
            if (share := _share(of, replace(of, tree=other), cost, pair)) is not None
        ]
        if shares and min(shares) >= _SHARE:
            yield _Saving(pair, min(shares), spared)


def _ended(node: Node) -> Node:
    return Outcome(node.id, ()) if isinstance(node, Onward) else node


def _swapped(tree: Tree, pair: _Pair, spared: tuple[str, ...]) -> Tree:
    """The tree with the cheap check first, and the dear one after those of its answers that do not settle it."""
    first = next(iter(pair.after.values()))
    inner = {seen: f"{pair.node.id} {seen}" for seen in first if seen not in spared}  # no id has a space
    ways = {seen: inner.get(seen, first[seen]) for seen in first}
    then = {seen: way for seen, way in ways.items() if seen}
    nodes = {**tree.nodes, pair.node.id: Question(pair.node.id, pair.cheap.id, then, ways.get(ELSE, ""))}
    for seen, name in inner.items():
        ends = {answer: after[seen] for answer, after in pair.after.items()}
        inner_then = {answer: end for answer, end in ends.items() if answer}
        nodes[name] = Question(name, pair.dear.id, inner_then, ends.get(ELSE, ""))
    return replace(tree, nodes=nodes)


def _share(of: "Case", other: "Case", cost: float, pair: _Pair) -> float | None:
    """The share of the cost that the other order saves; None in a build that lacks one of them and loses nothing."""
    dear, cheap = of.checks[pair.dear.id], of.checks[pair.cheap.id]
    saved = cost - _cost(other)
    if not (dear.applies and cheap.applies):
        return None if saved >= -1e-9 * cost else saved / cost
    if _price(of, cheap) > _PRICE * _price(of, dear):
        return 0.0
    return saved / cost if cost > 0.0 else 0.0


def _price(of: "Case", asked: "Asked") -> float:
    return asked.price + of.cost(asked.behind)


def _cost(of: "Case") -> float:
    from diagtree.reason.standing import start
    from diagtree.reason.walking import walk_cost

    return walk_cost(start(of))


def _small(of: "Case") -> bool:
    """Whether the states of access and answers that the cost of walking depends on are few."""
    first: tuple[str, int, frozenset[tuple[str, str]]] = (of.tree.start, 0, frozenset())
    seen = {first}
    waiting = [first]
    while waiting:
        name, done, known = waiting.pop()
        node = of.tree.nodes[name]
        if not isinstance(node, Question):
            continue
        asked = of.checks[node.check]
        told = dict(known)
        for answer, end in (*node.then.items(), (ELSE, node.otherwise)):
            if not end or (node.check in told and told[node.check] != answer):
                continue
            further = known if not answer or node.check in told else known | {(node.check, answer)}
            kept = frozenset(pair for pair in further if pair[0] in of.below[end])
            state = (end, done | asked.behind if answer and asked.applies else done, kept)
            if state not in seen:
                seen.add(state)
                waiting.append(state)
        if len(seen) > _MOST_STATES:
            return False
    return True


def _problem(library: Library, tree: Tree, saving: _Saving) -> Problem:
    pair = saving.pair
    settled = " or ".join(f"'{answer}'" for answer in saving.spared if answer)
    message = (
        f"Ask '{pair.cheap.id}' before '{pair.dear.id}', which costs more and is not needed after {settled}: "
        f"the mean cost of this tree falls by {100 * saving.share:.0f} % or more."
    )
    place = library.value("tree", tree.id, "nodes", pair.node.id, "check")
    return problem(place, ID, message, severity=SEVERITY)
