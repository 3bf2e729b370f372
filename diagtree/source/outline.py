"""A first outline of a new tree, made of checks and faults that a library has already.

Each outline asks checks whose rows in `given` tell its faults apart. The best come first; whoever takes one holds it
against the rules first, since they know what else may stand against it.
"""

from collections.abc import Iterator, Mapping
from itertools import combinations, islice
from typing import NamedTuple, TypeAlias

from diagtree.model.check import Check
from diagtree.model.engine import Engine
from diagtree.model.fault import DEFAULT, Fault
from diagtree.model.library import Library
from diagtree.source.starter import EDITOR_LINE

MOST = 24  # outlines of either size
_ALIKE = 3  # faults looked at, of those that a check can't tell apart
_APART = 0.4  # total variation distance of two rows, 0 to 1, from which a check tells two faults apart
_POOL = 40  # pairs that are looked at for a third fault

Shares: TypeAlias = tuple[float, ...]


class _Cut(NamedTuple):
    """A check that tells one fault from others, and how well: higher is better."""

    score: float
    hours: float  # of the check, with the work that opens the way to it
    check: Check
    fault: Fault
    others: tuple[Fault, ...]

    def towards(self) -> Mapping[str, bool]:
        """Answer -> whether it speaks for the fault rather than for the others."""
        one, rest = _shares(self.check, self.fault), _mean(self.check, self.others)
        return {answer.id: one[at] > rest[at] for at, answer in enumerate(self.check.answers)}


def outlines(library: Library, name: str, engine: str = "") -> Iterator[str]:
    """Texts of a tree of this id: first those with two checks and three faults, then those with one and two.

    The quicker check is asked first. With `engine` the tree says that it serves that one alone.
    """
    pairs = sorted(_pairs(library), key=lambda cut: -cut.score)
    chains = [(first, second) for second in pairs[:_POOL] for first in _before(library, second)]
    chains.sort(key=lambda chain: -(chain[0].score + chain[1].score))
    for chain in islice(chains, MOST):
        yield _text(name, engine, chain)
    for cut in pairs[:MOST]:
        yield _text(name, engine, (cut,))


def _shares(check: Check, fault: Fault) -> Shares:
    """The share of each answer where this fault is; nothing where the check has no row for it."""
    row = check.given.get(fault.id) or check.given.get(fault.kind_of) or check.given.get(DEFAULT) or ()
    whole = sum(row)
    return tuple(cell / whole for cell in row) if whole > 0 else ()


def _mean(check: Check, faults: tuple[Fault, ...]) -> Shares:
    return tuple(sum(column) / len(faults) for column in zip(*(_shares(check, one) for one in faults), strict=True))


def _distance(one: Shares, other: Shares) -> float:
    return sum(abs(a - b) for a, b in zip(one, other, strict=True)) / 2


def _hours(library: Library, check: Check) -> float:
    """Mean hours of a check and of all that comes off for it, in the engine where that takes longest."""
    return check.hours.mean + max((_access(engine, check) for engine in library.engines.values()), default=0.0)


def _access(engine: Engine, check: Check) -> float:
    opened: set[str] = set()
    waiting = list(check.behind)
    while waiting:
        step = engine.work.get(waiting.pop())
        if step and step.id not in opened:
            opened.add(step.id)
            waiting += step.after
    return sum(engine.work[step].hours.mean for step in opened)


def _handicap(check: Check, faults: tuple[Fault, ...]) -> float:
    """What speaks against a check and faults in a first tree: builds to which they do not apply, no work."""
    special = bool(check.when.terms) + sum(bool(fault.when.terms) for fault in faults)
    idle = sum(not fault.repair for fault in faults)
    return 0.3 * special + 0.2 * idle


def _told(check: Check, library: Library) -> tuple[Fault, ...]:
    """Faults that a check may tell apart: a few for each row that it has."""
    by_row: dict[Shares, list[Fault]] = {}
    for fault in library.faults.values():
        by_row.setdefault(_shares(check, fault), []).append(fault)
    by_row.pop((), None)
    return tuple(fault for alike in by_row.values() for fault in alike[:_ALIKE])


def _pairs(library: Library) -> Iterator[_Cut]:
    for check in library.checks.values():
        for one, other in combinations(_told(check, library), 2):
            yield from _cut(library, check, one, (other,))


def _cut(library: Library, check: Check, fault: Fault, others: tuple[Fault, ...]) -> Iterator[_Cut]:
    apart = _distance(_shares(check, fault), _mean(check, others))
    if apart >= _APART:
        hours = _hours(library, check)
        yield _Cut(apart - _handicap(check, (fault, *others)) - 0.1 * hours, hours, check, fault, others)


def _before(library: Library, second: _Cut) -> Iterator[_Cut]:
    """Checks that may be asked before another, as they tell a third fault from its two."""
    pair = (second.fault, *second.others)
    for check in library.checks.values():
        if check.id == second.check.id or not all(_shares(check, fault) for fault in pair):
            continue
        for fault in _told(check, library):
            if fault not in pair:
                yield from (cut for cut in _cut(library, check, fault, pair) if cut.hours <= second.hours)


def _text(name: str, engine: str, chain: tuple[_Cut, ...]) -> str:
    faults = tuple(dict.fromkeys((*(cut.fault for cut in chain), *chain[-1].others)))
    return _HEAD.format(
        editor=EDITOR_LINE,
        name=name,
        title=name.replace("-", " ").capitalize(),
        engines=_ENGINES.format(engine=engine) if engine else "",
        weights="".join(f"  {fault.id}: 10{_aside(fault.title)}\n" for fault in faults),
        start=chain[0].check.id,
    ) + _nodes(chain, faults)


def _nodes(chain: tuple[_Cut, ...], faults: tuple[Fault, ...]) -> str:
    # A check and a fault may share an id; two nodes may not.
    asked = {cut.check.id for cut in chain}
    ends = {fault.id: f"{fault.id}-found" if fault.id in asked else fault.id for fault in faults}
    unknown = "can-not-tell" if "cannot-tell" in {*asked, *ends.values()} else "cannot-tell"
    following = [*(cut.check.id for cut in chain[1:]), ""]
    lines = []
    for cut, onward in zip(chain, following, strict=True):
        against = onward or ends[cut.others[0].id]
        then = ", ".join(f"{answer}: {ends[cut.fault.id] if own else against}" for answer, own in cut.towards().items())
        lines.append(f"  #{_aside(cut.check.ask, mark='')}\n")
        lines.append(f"  {cut.check.id}: {{check: {cut.check.id}, then: {{{then}}}, else: {onward or unknown}}}\n")
    lines += [f"  {ends[fault.id]}: {{outcome: {fault.id}}}\n" for fault in faults]
    together = ", ".join(fault.id for fault in faults)
    return "".join([*lines, _TOGETHER, f"  {unknown}: {{outcome: [{together}]}}\n"])


def _aside(text: str, mark: str = "  #") -> str:
    """A text of the library as a comment on one line."""
    line = " ".join(text.split())
    return f"{mark} {line if len(line) <= 70 else line[:69] + '…'}"


_ENGINES = """\
# What it serves. Without this line: each engine that has the steps it needs.
engines: [{engine}]
"""
_TOGETHER = "  # Where nobody can tell: the scope mends them all.\n"
_HEAD = """\
{editor}
#
# A first outline of a tree, made of checks and faults of this library. It is there to be changed: put in the
# questions that you would ask, in your order. `diagtree vet` says what does not fit; `diagtree help files` says
# what else may stand here.

# The tree's id, for `diagtree walk {name}`.
tree: {name}
# The complaint, as a customer would say it.
title: "{title}"
# Its revision, and where it comes from. Say which figures are an estimate.
revision: "1"
source: a first outline, made from the library's tables
{engines}\

# How often each fault is behind this complaint: any figures, only their ratios count. These are placeholders.
weights:
{weights}\
# The weight of a cause that is not in this tree.
other: 5

# The first node.
start: {start}

# A node asks a check, and `then` names the node that each answer leads to; `else` is taken where the answer
# can't be had. Or it ends with `outcome`: a fault. Its work, hours and parts follow from the fault's repair.
nodes:
"""
