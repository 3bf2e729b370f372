"""What a walk came to: belief, scope, and how often the car would come back."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagtree.graph.labour import closure, labour
from diagtree.model.fault import Fault
from diagtree.reason.belief import Belief, Contradiction, belief, residual
from diagtree.scope.scope import Scope, scope
from diagtree.walk.session import Session

CONFLICT = 1.0  # bits; above it the answers do not fit one cause


@dataclass(frozen=True, slots=True)
class Result:
    """What is known where the walk stands."""

    session: Session
    belief: Belief | Contradiction  # over the causes of the tree in which it stands
    scope: Scope | None  # None before an outcome, and where the library has no engine
    residual: float | None  # P that the car comes back after that scope; None without a scope or a belief

    @property
    def conflict(self) -> float | None:
        """log2 of how much likelier the answers are apart than together; None where they contradict one another."""
        return self.belief.conflict if isinstance(self.belief, Belief) else None

    @property
    def doubtful(self) -> bool:
        """Whether the answers do not fit one cause."""
        return self.conflict is None or self.conflict > CONFLICT


def believing(session: Session) -> Belief | Contradiction:
    """What the answers so far say about the causes of the tree in which the walk stands."""
    return belief(session.case.library, session.tree, session.known.identified, session.known.findings.values())


def result(session: Session) -> Result:
    """What the walk came to."""
    now = believing(session)
    if not session.outcome or not session.case.library.engines:
        return Result(session, now, None, None)
    case = session.case
    work = scope(case.library, case.engine, session.known.builds, faults_found(session), session.opened)
    return Result(session, now, work, _left(session, now, faults_found(session)))


def left_by(session: Session, faults: Iterable[Fault]) -> float | None:
    """How often the car would come back once these faults are mended, whatever the walk came to.

    None where the library has no engine, and where the answers contradict one another.
    """
    return _left(session, believing(session), tuple(faults)) if session.case.library.engines else None


def _left(session: Session, now: Belief | Contradiction, faults: tuple[Fault, ...]) -> float | None:
    if not isinstance(now, Belief):
        return None
    return residual(now, session.case.library, session.case.engine, _done(session, faults))


def faults_found(session: Session) -> tuple[Fault, ...]:
    """The faults of the outcome; none before one."""
    known = session.case.library.faults
    return tuple(known[name] for name in (session.outcome.faults if session.outcome else ()) if name in known)


def _done(session: Session, mended: tuple[Fault, ...]) -> dict[str, frozenset[str]]:
    """Build id -> the steps that mending these faults does there, what checks opened included."""
    opened = [step for steps in session.opened.values() for step in steps]
    done = {}
    for build in session.known.identified:
        faults = [fault for fault in mended if fault.when.admits(build.features)]
        wanted = [step for fault in faults for step in fault.repair]
        done[build.id] = closure(labour(session.case.engine, build), (*wanted, *opened))
    return done
