"""The other checks of the tree that can still be done, cheapest first: what to offer where a question is given up."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from diagtree.graph.labour import closure, labour
from diagtree.graph.pricing import exact, mean_hours, parts_price, step_price
from diagtree.model.check import Check
from diagtree.model.engine import Build
from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Open:
    """A check that can still be done."""

    check: Check
    price: Fraction  # money, the access that it opens included


def open_checks(session: Session) -> tuple[Open, ...]:
    """The checks of this tree that have no answer yet and may be done, cheapest first, ties in the tree's order."""
    return tuple(sorted(_open(session), key=lambda one: one.price))


def _open(session: Session) -> Iterator[Open]:
    known = session.known
    for name in session.tree.checks:
        check = session.case.library.checks.get(name)
        asked = check is session.check or name in known.findings or name in known.unknown
        if check and not asked and known.applies(check) and not known.forbidden_by(check):
            # Builds may differ in price: the cheapest that it applies to orders the list well enough.
            fitting = [build for build in known.builds if check.when.admits(build.features)]
            yield Open(check, min(_price(session, check, build) for build in fitting))


def _price(session: Session, check: Check, build: Build) -> Fraction:
    """The check's own hours and takes, and the access that is not open yet."""
    rate = session.case.library.rates.labour_rate
    work = labour(session.case.engine, build)
    done = closure(work, (step for steps in session.opened.values() for step in steps))
    access = closure(work, check.behind) - done
    own = exact(rate) * mean_hours(check.hours) + parts_price(session.case.engine, build, check.takes)
    return own + sum((step_price(work, work.steps[step], rate) for step in access), Fraction(0))
