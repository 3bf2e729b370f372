"""Belief and one look ahead against an exact inference engine for Bayesian nets, on the same nets."""

from random import Random

import pyagrum as gum
import pytest

from tests.reason.textbook import chances, check

CAUSES = [f"cause-{at}" for at in range(12)]


def problem(seed: int) -> tuple[dict[str, float], dict[str, dict[str, tuple[float, ...]]]]:
    """Weights, and twenty checks of two to four answers."""
    draw = Random(seed)
    weights = {cause: draw.uniform(0.1, 20) for cause in CAUSES}
    rows = {}
    for at in range(20):
        many = draw.choice((2, 3, 4))
        rows[f"check-{at}"] = {cause: tuple(draw.uniform(1, 99) for _ in range(many)) for cause in CAUSES}
    return weights, rows


def net(weights: dict[str, float], rows: dict[str, dict[str, tuple[float, ...]]]) -> gum.BayesNet:
    """One node for the cause, one for each check."""
    made = gum.BayesNet()
    made.add(gum.LabelizedVariable("cause", "", CAUSES))
    whole = sum(weights.values())
    made.cpt("cause").fillWith([weights[cause] / whole for cause in CAUSES])
    for name, row in rows.items():
        many = len(row[CAUSES[0]])
        made.add(gum.LabelizedVariable(name, "", [str(place) for place in range(many)]))
        made.addArc("cause", name)
        for at, cause in enumerate(CAUSES):
            made.cpt(name)[{"cause": at}] = [cell / sum(row[cause]) for cell in row[cause]]
    return made


@pytest.mark.parametrize("seed", range(6))
def test_the_posterior_is_that_of_the_net(seed: int) -> None:
    weights, rows = problem(seed)
    draw = Random(seed + 100)
    seen = {name: draw.randrange(len(row[CAUSES[0]])) for name, row in rows.items() if draw.random() < 0.7}
    engine = gum.LazyPropagation(net(weights, rows))
    engine.setEvidence(seen)
    engine.makeInference()
    expected = engine.posterior("cause").tolist()
    checks = [check(name, row) for name, row in rows.items()]
    replies = {one.id: one.answers[seen[one.id]].id for one in checks if one.id in seen}
    found = chances(weights, checks, replies)
    assert [found[cause] for cause in CAUSES] == pytest.approx(expected, abs=1e-9)


def test_soft_evidence_is_the_net_s_virtual_evidence() -> None:
    weights, rows = problem(1)
    name = next(name for name, row in rows.items() if len(row[CAUSES[0]]) == 3)
    shares = (0.2, 0.7, 0.1)
    engine = gum.LazyPropagation(net(weights, rows))
    engine.setEvidence({name: list(shares)})
    engine.makeInference()
    found = chances(weights, [check(name, rows[name])], {name: shares})
    assert [found[cause] for cause in CAUSES] == pytest.approx(engine.posterior("cause").tolist(), abs=1e-9)
