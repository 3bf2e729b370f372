"""All answers that may come next, at once: what each would leave of the chances, and what stopping would then cost."""

import numpy as np

from diagtree.reason.case import Asked
from diagtree.reason.standing import Standing, opened
from diagtree.reason.stopping import Stop
from diagtree.reason.tables import Floats


def after_answers(here: Standing) -> tuple[tuple[Asked, ...], Floats]:
    """The open checks, and P(cause, answers so far, answer) for each answer of each, in their order.

    Returns:
        The checks, and an array of shape (answers of all checks, causes).
    """
    checks = here.open_checks()
    stack, places = here.case.stack
    if len(checks) == len(places):
        return checks, stack * here.chances
    taken = [stack[slice(*places[check.id])] for check in checks]
    rows = np.concatenate(taken) if taken else stack[:0]
    return checks, rows * here.chances


def stop_losses(here: Standing, chances: Floats, done: int) -> Floats:
    """The least loss of stopping at each of some beliefs.

    Args:
        here: whose case goes on in no other tree: there a cost depends on the answers too.
        chances: shape (beliefs, causes).
        done: closed set of the steps done.

    Returns:
        Shape (beliefs,), in the scale of the chances.
    """
    found = here.case.unions(done)
    if found is not None:
        return found.losses(chances)
    return np.array([stop_loss(Standing(here.case, belief, done)) for belief in chances])


def stop_loss(here: Standing) -> float:
    """The loss of stopping, times P(answers)."""
    return loss_of(here, here.stop())


def loss_of(here: Standing, stop: Stop | None) -> float:
    """The loss of a best scope; where nothing can be repaired, every cause comes back."""
    if stop is not None:
        return stop.loss
    chances: list[float] = here.chances.tolist()
    return sum(chance * cost for chance, cost in zip(chances, here.work().come_back, strict=True))


def losses_ahead(here: Standing, checks: tuple[Asked, ...], joint: Floats) -> tuple[float, Floats, Floats]:
    """The least loss of stopping now, after each answer, and now with the access of each check open.

    Args:
        here: where the car stands.
        checks: open checks.
        joint: shape (answers of these checks, causes), as `after_answers` has it.

    Returns:
        The loss now; shape (answers,); shape (checks,). All times P(answers so far).
    """
    if here.case.onward:
        return _one_by_one(here, checks, joint)
    by_access: dict[int, list[int]] = {here.done: []}
    spans = _spans(checks)
    for at, check in enumerate(checks):
        by_access.setdefault(here.done | check.behind, []).append(at)
    after, opened_now = np.zeros(len(joint)), np.zeros(len(checks))
    now = 0.0
    for done, places in by_access.items():
        rows = [row for at in places for row in range(*spans[at])]
        found = stop_losses(here, np.concatenate([joint[rows], here.chances[None, :]]), done)
        after[rows], opened_now[places] = found[:-1], found[-1]
        now = float(found[-1]) if done == here.done else now
    return now, after, opened_now


def _spans(checks: tuple[Asked, ...]) -> list[tuple[int, int]]:
    ends = np.cumsum([len(check.answers) for check in checks]).tolist()
    return list(zip([0, *ends], ends, strict=False))


def _one_by_one(here: Standing, checks: tuple[Asked, ...], joint: Floats) -> tuple[float, Floats, Floats]:
    """The same where a tree is gone on to: what that costs depends on each answer."""
    from diagtree.reason.standing import answered

    now = stop_loss(here)
    afters = [answered(here, check, place) for check in checks for place in range(len(check.answers))]
    after = np.array([stop_loss(one) if one.mass > 0.0 else 0.0 for one in afters])
    access = [stop_loss(opened(here, check.behind)) if check.behind & ~here.done else now for check in checks]
    assert len(after) == len(joint)
    return now, after, np.array(access)
