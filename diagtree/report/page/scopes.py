"""Every scope that a walk on the page can end in: each outcome with each set of steps that checks can have opened."""

from collections.abc import Callable, Iterator
from typing import Any, TypeAlias

from diagtree.model.engine import Step
from diagtree.model.fault import Fault
from diagtree.model.tree import Onward, Outcome, Question
from diagtree.report import scope as as_json
from diagtree.report import scope_words as words
from diagtree.report.lines import hours
from diagtree.report.page.ground import Ground
from diagtree.report.steps import cautions_of, tightening_words
from diagtree.scope.differing import Marked
from diagtree.scope.offers import Offer
from diagtree.scope.parts import PartLine
from diagtree.scope.scope import Scope, scope

Data: TypeAlias = dict[str, Any]
Ends: TypeAlias = tuple[str, ...]  # the faults of an outcome
Opened: TypeAlias = frozenset[str]  # a closed set of steps

MOST = 3000  # sets of steps; the page says so where a walk comes to another one


def scope_tables(ground: Ground) -> Data:
    """What the page puts a scope together from.

    `outcomes`: faults -> why each of their steps is done, and remarks. `bodies`: a set of steps -> hours, parts, buying
    and offers, whatever it is done for. `closing`: steps opened -> the bill of only closing them. `steps`, `parts`,
    `buy` and `offers`: the entries that these name.
    """
    pools = {"parts": _Pool(), "buy": _Pool(), "offers": _Pool()}
    found: Data = {"outcomes": {}, "bodies": {}, "closing": {}}
    if ground.library.engines:
        on_way = opened_at(ground)
        ends = _with_one_more(ground, on_way)
        for faults in ends:
            found["outcomes"][" ".join(faults)] = _outcome(ground, faults)
        for opened in dict.fromkeys(one for sets in ends.values() for one in sets):
            found["closing"][ground.name(opened)] = _closing(ground, opened)
        for steps in _wholes(ground, on_way, ends):
            found["bodies"][ground.name(steps)] = _body(ground, steps, pools)
    found["steps"] = {name: _step(ground, name) for name in ground.work.steps}
    return {**found, **{name: pool.held for name, pool in pools.items()}}


def opened_at(ground: Ground) -> dict[Ends, tuple[Opened, ...]]:
    """Each outcome's faults, with every set of steps that the checks on some way to it can have opened."""
    at: dict[tuple[str, str], dict[Opened, None]] = {}
    found: dict[Ends, dict[Opened, None]] = {}
    waiting: list[tuple[str, str, Opened]] = [(ground.trees[0].id, ground.trees[0].start, frozenset())]
    while waiting:
        tree, name, opened = waiting.pop()
        node = ground.library.trees[tree].nodes.get(name)
        sets = at.setdefault((tree, name), {})
        if node is None or opened in sets:
            continue
        sets[opened] = None
        if isinstance(node, Outcome):
            found.setdefault(node.faults, {})[opened] = None
        elif isinstance(node, Onward) and node.tree in ground.library.trees:
            waiting.append((node.tree, ground.library.trees[node.tree].start, opened))
        elif isinstance(node, Question):
            waiting += [(tree, target, after) for target, after in _further(ground, node, opened)]
    return {faults: tuple(sets) for faults, sets in found.items()}


def _with_one_more(ground: Ground, ends: dict[Ends, tuple[Opened, ...]]) -> dict[Ends, tuple[Opened, ...]]:
    """The same, then with what one check more opened: one that an answer told anew has left off the way."""
    checks = dict.fromkeys(ground.closed(check.behind) for check in ground.checks if ground.applies(check))
    return {
        faults: tuple(dict.fromkeys((*sets, *(opened | more for opened in sets for more in checks))))
        for faults, sets in ends.items()
    }


def _further(ground: Ground, node: Question, opened: Opened) -> Iterator[tuple[str, Opened]]:
    check = ground.library.checks.get(node.check)
    if check and ground.applies(check):
        after = opened | ground.closed(check.behind)
        yield from ((target, after) for target in dict.fromkeys(node.then.values()))
    if node.otherwise:
        yield node.otherwise, opened


def _wholes(ground: Ground, *kinds: dict[Ends, tuple[Opened, ...]]) -> tuple[Opened, ...]:
    """The sets of steps that a walk can end in, at most `MOST`, those of the first kind before the others."""
    found: dict[Opened, None] = {}
    for faults, sets in (pair for ends in kinds for pair in ends.items()):
        wanted = ground.closed(step for fault in _mended(ground, faults) for step in fault.repair)
        for opened in sets:
            if len(found) < MOST:
                found[wanted | opened] = None
    return tuple(found)


def _mended(ground: Ground, faults: Ends) -> list[Fault]:
    known = ground.library.faults
    return [known[name] for name in faults if name in known and known[name].when.admits(ground.build.features)]


class _Pool:
    """Entries that many scopes share, each once."""

    def __init__(self) -> None:
        self.held: list[Data] = []
        self._at: dict[str, int] = {}

    def put(self, entry: Data) -> int:
        key = repr(entry)
        if key not in self._at:
            self._at[key] = len(self.held)
            self.held.append(entry)
        return self._at[key]


def _made(ground: Ground, faults: Ends, opened: Opened) -> Scope:
    """One name stands for all checks: the page itself says for which of them a step was opened."""
    named = tuple(ground.library.faults[name] for name in faults if name in ground.library.faults)
    return scope(ground.library, ground.engine, (ground.build,), named, {"": tuple(ground.ordered(opened))})


def _outcome(ground: Ground, faults: Ends) -> Data:
    made = _made(ground, faults, frozenset())
    return {
        "why": {one.entry.step.id: words.reason(made, one.entry) for one in made.steps},
        "noWork": words.no_work(made),
        "remarks": list(made.remarks),
    }


def _closing(ground: Ground, opened: Opened) -> Data:
    made = _made(ground, (), opened)
    return {"data": as_json.as_dict(made)["close_up"], "say": words.close_up(made)}


def _body(ground: Ground, steps: Opened, pools: dict[str, _Pool]) -> Data:
    made = _made(ground, (), steps)
    data = as_json.as_dict(made)

    def pooled(name: str, marked: Any, say: Callable[[Any], Data]) -> list[int]:
        pairs = zip(data[name], marked, strict=True)
        return [pools[name].put({"data": entry, **say(one)}) for entry, one in pairs]

    return {
        "steps": [one.entry.step.id for one in made.steps],
        "hours": data["hours"],
        "partsCost": data["parts_cost"],
        "buyCost": data["buy_cost"],
        "parts": pooled("parts", made.parts, lambda one: _part(made, one)),
        "buy": pooled("buy", made.buy, lambda one: {"say": words.purchase(made, one.entry)}),
        "offers": pooled("offers", made.offers, lambda one: _offer(made, one.entry)),
        "inAll": words.in_all(made),
        "bill": words.bill(made),
        "remarks": list(made.remarks),
    }


def _part(made: Scope, marked: Marked[PartLine]) -> Data:
    details = [detail for detail in words.part_details(made, marked) if detail]
    return {"say": words.part(made, marked.entry), "details": details}


def _offer(made: Scope, one: Offer) -> Data:
    return {"say": words.offer(made, one), "ready": one.ready}


def _step(ground: Ground, name: str) -> Data:
    step = ground.work.steps[name]
    made = _made(ground, (), frozenset({name}))
    line = next(one.entry for one in made.steps if one.entry.step.id == name)
    return {
        "title": step.title,
        "hours": hours(line.hours),
        "tools": ", ".join(step.tools),
        "cautions": [one.id for one in cautions_of(made, step)],
        "do": [*step.do, *_tightening(ground, step)],
    }


def _tightening(ground: Ground, step: Step) -> Iterator[str]:
    for bolts in step.torque:
        yield f"Tighten {bolts.bolts}: {', then '.join(tightening_words(ground.library, bolts))}"
