"""Cooper and Herskovits, Machine Learning 9 (1992), 309-347: ten cases of three variables, under uniform priors.

What the cases make of a probability, and the scores of two structures, printed as 2.23e-9 and 2.23e-10. A score is the
product of what is foretold of each case from those before it, so that it can be had from `learn` alone.
"""

from math import prod

import pytest

from diagtree.learning.cases import Alike
from diagtree.learning.mixture import learn
from diagtree.model.library import Library
from diagtree.source.reader import read

pytestmark = pytest.mark.outside

# x1, x2, x3 of the ten cases.
CASES = ("100", "111", "001", "111", "000", "011", "111", "000", "111", "000")
# A row of 1 to 1 that is worth two cars is the uniform prior.
STRENGTH = 2.0
# A parent is the cause, its child the check.
LIBRARY = """\
checks:
  child: {ask: Is it present?, hours: 0.1, slip: 0, answers: {absent: No, present: Yes}, given: {p0: 50, p1: 50}}
---
faults:
  p0: {title: Parent absent, why: Given., repair: [], verify: [Look.]}
  p1: {title: Parent present, why: Given., repair: [], verify: [Look.]}
---
tree: cases
title: The ten cases
weights: {p0: 1, p1: 1}
other: 0
start: child
nodes:
  child: {check: child, then: {absent: p0, present: p1}}
  p0: {outcome: p0}
  p1: {outcome: p1}
"""


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Library:
    path = tmp_path_factory.mktemp("cases") / "library.yaml"
    path.write_text(LIBRARY)
    found = read(str(path))
    assert not found.problems
    return found.library


def expected(library: Library, cases: tuple[str, ...], case: str, child: int, parent: int | None) -> float:
    """P(the child is as in `case` | its parent is, the cases before it); parent None: of the child alone."""
    of, value = (child, None) if parent is None else (parent, int(case[child]))
    listed = [
        Alike("cases", "only", ("only",), (("child", ("absent", "present")[int(one[child])]),), (f"p{one[of]}",), 1)
        for one in cases
    ]
    learned = learn(library, listed, strength=STRENGTH)
    if not cases:
        return 0.5
    if value is None:
        cells = learned.weights["cases"]
        return float(cells.learned[cells.names.index((f"p{case[child]}", ""))])
    return float(learned.rows["child", f"p{case[of]}"].learned[value])


def score(library: Library, parents: tuple[int | None, ...]) -> float:
    """P(cases | structure)."""
    return prod(
        expected(library, CASES[:at], case, child, parent)
        for at, case in enumerate(CASES)
        for child, parent in enumerate(parents)
    )


def test_x2_is_expected_in_five_of_seven_where_x1_is_present(library: Library) -> None:
    assert expected(library, CASES, "110", child=1, parent=0) == pytest.approx(5 / 7)


@pytest.mark.parametrize(
    ("parents", "printed", "exact"), [((None, 0, 1), 2.23e-9, 2.226854e-9), ((None, 0, 0), 2.23e-10, 2.226854e-10)]
)
def test_the_scores_of_both_structures(
    library: Library, parents: tuple[int | None, ...], printed: float, exact: float
) -> None:
    """x1 -> x2 -> x3, and x2 <- x1 -> x3; the longer figures are worked out from the paper's equation, not printed."""
    found = score(library, parents)
    assert found == pytest.approx(printed, abs=printed / 400)
    assert found == pytest.approx(exact, rel=1e-6)
