"""What was authorised against what is expected."""

from collections.abc import Mapping
from dataclasses import dataclass
from queue import Queue
from threading import Thread

from diagtree.jobs.record import STAGES, Authorised, Job, Stage
from diagtree.walk.session import Session

STAGE_WORDS: Mapping[Stage, str] = {
    "diagnosis": "the diagnosis",
    "strip-down": "diagnosis and opening up",
    "repair": "the whole visit",
}

_PATIENCE = 0.2  # seconds for which a step waits to be told at once


def expected_over_authorised(authorised: Mapping[Stage, Authorised], expected: Mapping[Stage, float]) -> Stage | None:
    """The first stage whose expected bill passes what was authorised; None where none does, or nothing was authorised.

    Args:
        authorised: by stage, cumulative: what may be spent up to its end.
        expected: by stage, cumulative, of the stages that the visit is expected to reach; the same money.

    A later stage's amount covers the earlier ones too. A stage for which nothing was said is judged by nothing: it is
    not begun without a word of the customer anyway.
    """
    for at, stage in enumerate(STAGES):
        later = [authorised[one].amount for one in STAGES[at:] if one in authorised]
        if later and expected.get(stage, 0.0) > max(later):
            return stage
    return None


@dataclass(frozen=True, slots=True)
class Passed:
    """What is expected passes what was authorised."""

    stage: Stage
    say: str


def watch(session: Session, job: Job) -> Passed | None:
    """Whether what is expected passes what was authorised; None where it does not, or nothing was.

    Expected is the mean of the customer's bill, tax among it, over all ways that the visit can go from here.
    """
    if not job.authorised:
        return None
    from diagtree.estimate.customer import round_up, taxed
    from diagtree.estimate.estimate import Estimate
    from diagtree.walk.estimating import estimated

    found = estimated(session)
    if not isinstance(found, Estimate):
        return None
    shop = session.case.library.rates
    expected: dict[Stage, float] = {one.stage: taxed(shop, one.price.mean) for one in found.stages}
    stage = expected_over_authorised(job.authorised, expected)
    if stage is None:
        return None
    limit = max(job.authorised[one].amount for one in STAGES[STAGES.index(stage) :] if one in job.authorised)
    bill = f"about {round_up(shop, expected[stage]):.2f} {shop.currency}, tax included"
    ask = f"Authorised: {limit:.2f}. Ask the customer before you go on."
    return Passed(stage, f"Expected for {STAGE_WORDS[stage]}: {bill}. {ask}")


class Lookout:
    """Watches beside the walk: an estimate may take longer than a key may. What comes late is told with the next step.

    Each stage that is passed is told once.
    """

    def __init__(self) -> None:
        self._found: Queue[Passed | None] = Queue()
        self._told: set[Stage] = set()

    def look(self, session: Session, job: Job) -> str:
        """What there is to tell by now, of this step or of one before it."""
        if not job.authorised:
            return ""
        worker = Thread(target=self._watch, args=(session, job), daemon=True)
        worker.start()
        worker.join(_PATIENCE)
        said = []
        while not self._found.empty():
            passed = self._found.get()
            if passed and passed.stage not in self._told:
                self._told.add(passed.stage)
                said.append(passed.say)
        return " ".join(said[-1:])

    def _watch(self, session: Session, job: Job) -> None:
        self._found.put(watch(session, job))
