"""What checks have taken off the car so far."""

from dataclasses import dataclass

from diagtree.graph.labour import closure, labour
from diagtree.model.engine import Step
from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Off:
    """A work step that stays open."""

    step: Step
    sure: bool  # whether every build that is still possible has it


def taken_off(session: Session) -> tuple[Off, ...]:
    """The steps that the answered checks lie behind, in the engine's order."""
    opened = [step for steps in session.opened.values() for step in steps]
    if not opened:
        return ()
    each = [closure(labour(session.case.engine, build), opened) for build in session.known.builds]
    steps = session.case.engine.work.items()
    return tuple(
        Off(step, all(name in one for one in each)) for name, step in steps if any(name in one for one in each)
    )
