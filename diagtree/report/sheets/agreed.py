"""What a job says was agreed with the customer: amounts authorised, work declined."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.jobs.allowance import STAGE_WORDS
from diagtree.jobs.record import STAGES, Job
from diagtree.model.engine import Engine

AGREED = "Agreed with the customer so far"


@dataclass(frozen=True, slots=True)
class Agreement:
    """What a sheet says of it: `lines` to print, and the ids of the work steps `declined`."""

    lines: tuple[str, ...] = ()
    declined: frozenset[str] = frozenset()


def agreement(job: Job, engine: Engine, currency: str) -> Agreement:
    """All that a job holds of it."""
    return Agreement(tuple(agreed(job, engine, currency)), frozenset(one.subject for one in job.of("declined")))


def agreed(job: Job, engine: Engine, currency: str) -> Iterator[str]:
    """A line for each amount that holds, up to the end of its stage, and one for each work step declined."""
    for stage in STAGES:
        if stage in job.authorised:
            one = job.authorised[stage]
            by = f"by {one.by}" if one.by else ""
            said = ", ".join(filter(None, (f"{one.amount:.2f} {currency}".strip(), by, one.at[:10])))
            yield f"Authorised for {STAGE_WORDS[stage]}, with tax: {said}."
    for step in dict.fromkeys(one.subject for one in job.of("declined")):
        known = engine.work.get(step)
        yield f"Declined by the customer: {known.title if known else step}."
