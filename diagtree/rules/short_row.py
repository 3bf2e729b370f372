"""A row of `given` that leaves an answer out.

What is left out counts as never seen with that fault, which is seldom meant.

Wrong:
    answers: {low: Low, ok: Right, high: Too high}
    given: {oil-low: {low: 90, ok: 10}}
Right:
    given: {oil-low: {low: 90, ok: 10, high: 0}}
"""

from diagtree.model.problem import Severity

ID = "short-row"
SEVERITY: Severity = "warning"
FORM = True  # found where files are read
