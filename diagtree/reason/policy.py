"""The best adaptive order of checks from a standing, ending in the best scope.

V = min(stop, min over open checks of price + sum over answers of V after it), all times P(answers). A check asks
nothing twice, is not used where an answer forbids it, and opens access that is paid once. Where the sets of answers can
be listed the result is exact (`levels`); else it is the best policy found, with a bound below every policy (`search`).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from time import monotonic
from typing import NamedTuple

from diagtree.reason.compact import Compact, compact
from diagtree.reason.levels import MOST_STATES, solve, states
from diagtree.reason.nodes import MET
from diagtree.reason.search import Search
from diagtree.reason.standing import Standing

# Seconds that a caller waits who names none.
SECONDS = 2.0
# Costs nearer than this share of their size are one cost: stop first, then the check that stands first in the file.
TIE = 1e-9
# Nodes that a search may meet: some 10 kB each.
MOST_NODES = 50_000

# Seconds for a set of answers, roughly: what decides between listing them and searching.
_LISTED = 1.5e-6
_LISTED_ONE_BY_ONE = 3e-4
_LISTED_A_SECOND = 400_000
# Steps of a search below which it has none to spare for a bound.
_FEW = 100
# Seconds that listing may take whatever the limit: an exact advice is worth the wait.
_LISTING = 5.0
# Sets of answers that are listed within a keystroke.
_QUICK = 10_000
_QUICK_ONE_BY_ONE = 60
_MOST_ONE_BY_ONE = 20_000
# Orders are grown roughly first, then finely: to what share of all cars, and by what share of the time.
_FLOORS = ((1e-2, 0.15), (1e-3, 0.25), (1e-4, 0.35), (2e-5, 0.45))
_FLOOR_OF_FEW = ((1e-3, 0.6),)
_FLOORS_OF_EACH = ((1e-2, 0.2), (1e-3, 0.3), (1e-4, 0.4))
# Which policies are followed: shares of the upper bound.
_GUESSES = (1.0, 0.5)
# Rounds of trying other checks without any gain, after which it is given up.
_IDLE = 4
# Gaps that are not worth following, as a share of the cost.
_LEAST = 1e-5


@dataclass(frozen=True, slots=True)
class Policy:
    """What the best policy known costs from a standing, and how it begins. Money, given the answers so far."""

    cost: float  # of a policy that is held: an upper bound on the best
    bound: float  # below the cost of every policy
    exact: bool  # whether they are the same, but for rounding
    check: str | None  # the first check; None: stop and repair


@dataclass(frozen=True, slots=True)
class Span:
    """Between what a first move costs at least, and what it costs with a policy that is held."""

    cost: float
    bound: float


Progress = Callable[[Policy], None]


def best(
    here: Standing,
    seconds: float | None = SECONDS,
    progress: Progress | None = None,
    nodes: int = MOST_NODES,
    steps: int | None = None,
) -> Policy:
    """The best policy from here.

    Args:
        here: P(answers) is above 0.
        seconds: stop after so long with what is found; None: only when it is closed, or `nodes` are met.
        progress: told now and then what is known so far.
        nodes: of a search.
        steps: of a search: nodes met, and batches of beliefs that quick policies follow; None: no limit.

    Raises:
        ValueError: the answers cannot happen.
    """
    moves = _moves(here, _Limits(seconds, nodes, steps), progress, every=False)
    return chosen(moves)


def first_moves(
    here: Standing,
    seconds: float | None = SECONDS,
    progress: Progress | None = None,
    nodes: int = MOST_NODES,
    steps: int | None = None,
) -> dict[str | None, Span]:
    """What each first move costs, with the best policy after it: None stops, then the open checks in file order.

    The arguments are those of `best`.
    """
    return _moves(here, _Limits(seconds, nodes, steps), progress, every=True)


def chosen(moves: Mapping[str | None, Span]) -> Policy:
    """The policy that begins with the least of some first moves; None must be among them."""
    cost = min(span.cost for span in moves.values())
    bound = min(cost, *(span.bound for span in moves.values())) if len(moves) > 1 else min(cost, moves[None].bound)
    order = (None, *(move for move in moves if move is not None))
    check = next(move for move in order if moves[move].cost <= cost * (1.0 + TIE))
    return Policy(cost, bound, cost - bound <= TIE * cost, check)


def mixed(parts: Iterable[tuple[float, Mapping[str | None, Span]]]) -> dict[str | None, Span]:
    """First moves over builds that are still possible, each going on by its own best policy.

    Args:
        parts: of each build P(build | answers), and its `first_moves`. Where a check does not apply, it is passed over.
    """
    known = [(chance, moves, chosen(moves)) for chance, moves in parts if chance > 0.0]
    names = dict.fromkeys(name for _, moves, _ in known for name in moves)
    found = {}
    for name in names:
        spans = [(chance, moves.get(name, Span(policy.cost, policy.bound))) for chance, moves, policy in known]
        found[name] = Span(sum(w * one.cost for w, one in spans), sum(w * one.bound for w, one in spans))
    return found


class _Limits(NamedTuple):
    seconds: float | None
    nodes: int
    steps: int | None


def _moves(here: Standing, limits: _Limits, progress: Progress | None, *, every: bool) -> dict[str | None, Span]:
    mass = here.mass
    if not mass > 0.0:
        message = "no policy for answers that cannot happen"
        raise ValueError(message)
    of = compact(here, [check.id for check in here.open_checks()] if every else ())
    table = solve(of) if _listed(of, limits.seconds) else None
    if table is not None:
        return {move: Span(cost / mass, cost / mass) for move, cost in table.moves().items()}
    return _search(of, limits, progress, every=every)


def quick(here: Standing) -> bool:
    """Whether the best policy from here is found exactly within a keystroke."""
    of = compact(here, ())
    return states(of) <= (_QUICK_ONE_BY_ONE if of.varies else _QUICK)


def _listed(of: Compact, seconds: float | None) -> bool:
    """Whether the sets of answers are listed: exact, and the same on every machine."""
    many = states(of)
    most, each = (_MOST_ONE_BY_ONE, _LISTED_ONE_BY_ONE) if of.varies else (MOST_STATES, _LISTED)
    return many <= most and (seconds is None or many * each <= max(seconds, _LISTING))


def _search(of: Compact, limits: _Limits, progress: Progress | None, *, every: bool) -> dict[str | None, Span]:
    clock = _Clock(limits)
    found = Search(of, clock.go_on, every=every)
    if every:
        _improve_each(found, clock)
    else:
        _improve(found, clock, progress)
    return _spans(found)


class _Clock:
    """How much of the time, of the nodes and of the steps may be used."""

    def __init__(self, limits: _Limits) -> None:
        self._start, self._limits = monotonic(), limits
        self._steps = 0
        self.share = 1.0

    @property
    def listed(self) -> int:
        """Sets of answers that may be listed at once: some tenth of the time; 0 for a search of few steps."""
        seconds, _, steps = self._limits
        if steps is not None and steps < _FEW:
            return 0
        return MOST_STATES if seconds is None else int(seconds * _LISTED_A_SECOND)

    def go_on(self, many: int) -> bool:
        """Whether another node may be met."""
        seconds, nodes, steps = self._limits
        if many >= nodes * self.share or (steps is not None and self._steps >= steps * self.share):
            return False
        self._steps += 1
        return seconds is None or monotonic() - self._start < seconds * self.share


def _improve(found: Search, clock: _Clock, progress: Progress | None) -> None:
    root = found.root
    clock.share = 0.05
    found.author(root, found.of.here.case.tree.start)
    for floor, share in _FLOORS if clock.listed else _FLOOR_OF_FEW:
        clock.share = share
        found.order(floor)
        _tell(found, progress)
    clock.share = 0.8
    if clock.listed:
        found.join(clock.listed)
        _tell(found, progress)
    clock.share = 0.9
    idle, high = 0, root.high
    while idle < _IDLE and clock.go_on(found.many) and found.better():
        idle = 0 if root.high < high * (1 - _LEAST) else idle + 1
        high = root.high
        _tell(found, progress)
    for share in _GUESSES:
        clock.share = min(1.0, clock.share + 0.02)
        found.guess(root, share, _LEAST * root.high)
        _tell(found, progress)
    clock.share = 1.0
    while not root.closed and clock.go_on(found.many) and found.deepen():
        if found.many % 64 == 0:
            _tell(found, progress)


def _improve_each(found: Search, clock: _Clock) -> None:
    """The same for every first move, the widest gap next."""
    root = found.root
    many = len(root.moves)
    for floor, share in _FLOORS_OF_EACH if many else ():
        clock.share = share
        found.order_each(floor)
    clock.share = 0.65
    if clock.listed:
        found.join(clock.listed)
    for at in range(many):
        clock.share = min(1.0, clock.share + 0.2 / many)
        found.guess(root, 0.6, _LEAST * root.high, first=at)
    clock.share = 1.0
    open_moves = set(range(many))
    while open_moves and clock.go_on(found.many):
        gaps = root.costs(root.highs) - root.costs(root.lows)
        move = max(sorted(open_moves), key=lambda at: float(gaps[at]))
        if gaps[move] <= MET * root.high or not found.deepen(move):
            open_moves.discard(move)


def _tell(found: Search, progress: Progress | None) -> None:
    if progress is not None:
        progress(chosen(_spans(found)))


def _spans(found: Search) -> dict[str | None, Span]:
    root, told = found.root, found.told
    spans: dict[str | None, Span] = {None: Span(root.stop / root.mass, root.stop / root.mass)}
    if len(root.moves):
        pairs = zip(root.costs(root.highs).tolist(), root.costs(root.lows).tolist(), strict=True)
        for at, (cost, bound) in zip(root.moves.tolist(), pairs, strict=True):
            low = min(max(bound, told), cost) / root.mass
            spans[found.of.tests[at].check.id] = Span(cost / root.mass, low)
    return spans
