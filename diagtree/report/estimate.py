"""An estimate as one JSON object."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from diagtree.estimate.customer import round_up
from diagtree.estimate.estimate import End, Estimate, Law, Stage, Waiting
from diagtree.model.library import NOTICE
from diagtree.reason.belief import Contradiction
from diagtree.report import chances
from diagtree.walk.session import Session


def as_json(
    found: Estimate | Contradiction,
    session: Session,
    amount: float | None = None,
    more: Mapping[str, Any] | None = None,
) -> str:
    """The estimate, with what `more` adds to its keys."""
    data = as_data(found, session, amount) | dict(more or {})
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def as_data(found: Estimate | Contradiction, session: Session, amount: float | None = None) -> dict[str, Any]:
    """Ids as in the files, hours and money as numbers, not rounded. `cost` is before extras and tax.

    `price` is what a customer pays: extras and tax among it; `price_reached` is that of the visits alone that get to a
    stage. `amount` is what is to be authorised: the one asked for, else the least rounded price that is enough in 80 of
    100. Where the answers contradict one another there is nothing
    to mix: `contradiction` names them.
    """
    case = session.case
    engine = case.engine.id if case.library.engines else None
    builds = session.known.builds
    head = {"tree": case.tree.id, "engine": engine, "build": builds[0].id if engine and len(builds) == 1 else None}
    if isinstance(found, Contradiction):
        return head | _contradicted(session, found)
    shop = found.library.rates
    limit = enough(found) if amount is None else amount
    return {
        **head,
        "open": {name: list(values) for name, values in found.open.items()},
        "answers": [finding.check for finding in found.findings],
        "slow": found.slow,
        "belief": chances.as_data(found.belief.by_fault),
        "conflict": found.belief.conflict,
        "outcomes": [_end(one) for one in found.outcomes],
        "hours": asdict(found.hours.spread),
        "cost": asdict(found.cost.spread),
        "price": asdict(found.price.spread),
        "stages": [_stage(one, there) for one, there in zip(found.stages, found.reaching, strict=True)],
        "close_up": found.close_up,
        "residual": found.residual,
        "amount": {"amount": limit, "share": found.price.within(limit), "dots": found.dots_within(limit)},
        "dots": list(found.dots),
        "extras": [{"title": one.title, "mean": mean} for one, mean in zip(shop.extras, found.extras, strict=True)],
        "tax": shop.tax,
        "waiting": _waiting(found.waiting),
        "deposits": [
            {"part": one.part.id, "deposit": one.part.deposit, "probability": one.probability} for one in found.deposits
        ],
        "contradiction": [],
        "currency": shop.currency,
        "ground": chances.ground(found.tree),
        "notice": NOTICE,
    }


def enough(found: Estimate) -> float:
    """What to authorise: the price that 80 in 100 such cars do not pass, rounded up as a customer reads it."""
    return round_up(found.library.rates, found.price.percentile(0.8))


def _end(one: End) -> dict[str, Any]:
    return {
        "faults": list(one.faults),
        "probability": one.probability,
        "hours": one.hours,
        "parts": one.parts,
        "cost": one.cost,
        "price": one.price,
        "residual": one.residual,
    }


def _waiting(one: Waiting | None) -> dict[str, Any] | None:
    """Null where there are too many ways."""
    if one is None:
        return None
    nights = [{"nights": many, "probability": chance} for many, chance in one.nights]
    return {"probability": one.often, "hours": one.hours, "longest": one.longest, "nights": nights}


def _stage(one: Stage, there: Law | None) -> dict[str, Any]:
    hours, cost, price = one.hours.spread, one.cost.spread, one.price.spread
    return {
        "stage": one.stage,
        "reached": one.reached,
        "settled": one.settled,
        "found": one.found,
        "hours": {"p50": hours.p50, "p80": hours.p80, "mean": hours.mean},
        "cost": {"p50": cost.p50, "p80": cost.p80, "mean": cost.mean},
        "price": {"p50": price.p50, "p80": price.p80, "mean": price.mean},
        "price_reached": _reached(there),
    }


def _reached(there: Law | None) -> dict[str, float] | None:
    """Of the visits that reach a stage alone; null where none does."""
    return {"p50": there.percentile(0.5), "p80": there.percentile(0.8), "mean": there.mean} if there else None


def _contradicted(session: Session, found: Contradiction) -> dict[str, Any]:
    return {
        "belief": [],
        "outcomes": [],
        "hours": None,
        "cost": None,
        "stages": [],
        "contradiction": list(found.checks),
        "currency": session.case.library.rates.currency,
        "notice": NOTICE,
    }
