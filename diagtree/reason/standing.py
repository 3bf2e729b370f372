"""Where a car stands: what has been answered, what is off it, and what it costs to stop here."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from diagtree.reason.case import Asked, Case
from diagtree.reason.finding import Finding
from diagtree.reason.stopping import Stop, Work, best_stop
from diagtree.reason.tables import Floats


@dataclass(frozen=True, eq=False)
class Standing:
    """A case after some answers.

    `chances` is P(cause, answers): its sum is P(answers), so that what follows can be summed without dividing.
    """

    case: Case
    chances: Floats  # (causes,)
    done: int  # closed set of the steps that checks have opened
    findings: Mapping[str, Finding] = field(default_factory=dict)  # by check, in the order answered
    # Of each tree that may be gone on to, at first or later: P(its cause, answers), by its own weights.
    beyond: Mapping[str, Floats] = field(default_factory=dict)

    @property
    def mass(self) -> float:
        """P(answers)."""
        return float(self.chances.sum())

    def open_checks(self) -> tuple[Asked, ...]:
        """The checks that may be done now: they apply, have no answer, and no answer forbids them."""
        return tuple(
            check
            for check in self.case.free
            if check.id not in self.findings and not (check.never_after and self.forbidden(check))
        )

    def forbidden(self, check: Asked) -> bool:
        """Whether an answer that is known forbids a check."""
        return any(
            name in self.findings and self.findings[name].answer in answers
            for name, answers in check.never_after.items()
        )

    def price(self, check: Asked) -> float:
        """The check's own price and that of the access which it opens now."""
        return check.price + self.case.cost(check.behind & ~self.done)

    def work(self) -> Work:
        """What the best scope depends on here, going on in other trees among it."""
        return work_at(self)

    def stop(self) -> Stop | None:
        """The best scope now. Its loss is a share of the whole: P(answers) times the mean."""
        return best_stop(self.work(), self.chances.tolist(), self.done)


def start(of: Case) -> Standing:
    """Before any answer."""
    return Standing(of, of.prior, 0, {}, {name: there.prior for name, there in of.beyond.items()})


def after(here: Standing, finding: Finding) -> Standing:
    """Once a check has shown something. A check that this tree does not ask weighs all the same."""
    return _told(here, finding, np.array(finding.shares), here.case.behind(finding.check))


def answered(here: Standing, check: Asked, answer: int) -> Standing:
    """Once a check of the case has the answer of this place."""
    return _told(here, check.findings[answer], answer, check.behind)


def _told(here: Standing, finding: Finding, shares: Floats | int, behind: int) -> Standing:
    name = finding.check

    def seen(of: Case) -> Floats:
        rows = of.rows(name)
        return rows[shares] if isinstance(shares, int) else shares @ rows

    return Standing(
        here.case,
        here.chances * seen(here.case),
        here.done | behind,
        {**here.findings, name: finding},
        {tree: chances * seen(here.case.beyond[tree]) for tree, chances in here.beyond.items()},
    )


def opened(here: Standing, steps: int) -> Standing:
    """Once more steps are done."""
    return replace(here, done=here.done | steps)


def replay(of: Case, findings: Mapping[str, Finding], done: int = 0) -> Standing:
    """A case with findings that were made elsewhere, such as in the tree before it."""
    here = opened(start(of), done)
    for finding in findings.values():
        here = after(here, finding)
    return here


def work_at(here: Standing) -> Work:
    """Prices and come-backs here. Going on in a tree costs that tree's walk, given the answers and what is done."""
    of = here.case
    if not of.onward:
        return of.plain_work
    from diagtree.reason.walking import onward_cost

    now = [onward_cost(here, tree, here.done) for tree in of.onward]
    afresh = {
        tree: onward_cost(here, tree, 0) if here.done else cost for tree, cost in zip(of.onward, now, strict=True)
    }
    come_back = tuple(cost + afresh.get(cause, 0.0) for cause, cost in zip(of.causes, of.come_back, strict=True))
    return Work((*of.prices, *now), of.repairs, come_back)
