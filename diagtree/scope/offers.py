"""Work on offer: what it saves to have it done behind the same cover."""

from dataclasses import dataclass
from fractions import Fraction

from diagtree.graph.labour import Labour, closure
from diagtree.graph.pricing import NOTHING, step_price
from diagtree.model.engine import Step
from diagtree.scope.plan import hours_of


@dataclass(frozen=True, slots=True)
class Offer:
    """A step that is not in a scope, and what taking it along means.

    Attributes:
        saving: hours less than if it were done on a day of its own.
        hours: hours that it adds to the scope.
        cost: what it adds to the bill: labour, and parts at single prices.
        ready: whether all that it stands behind is in the scope, so that people are shown it.
    """

    step: Step
    saving: Fraction
    hours: Fraction
    cost: Fraction
    ready: bool


def offers(work: Labour, scope: frozenset[str], rate: float) -> tuple[Offer, ...]:
    """Each step on offer that the build admits outside `scope`, a closed set, in file order."""
    return tuple(_offer(work, step, scope, rate) for step in work.steps.values() if step.offer and step.id not in scope)


def _offer(work: Labour, step: Step, scope: frozenset[str], rate: float) -> Offer:
    alone = closure(work, (step.id,))
    added = alone - scope
    more = hours_of(work, added)
    return Offer(
        step=step,
        saving=hours_of(work, alone) - more,
        hours=more,
        cost=sum((step_price(work, work.steps[name], rate) for name in added), NOTHING),
        ready=all(other in scope for other in step.after if other in work.steps),
    )
