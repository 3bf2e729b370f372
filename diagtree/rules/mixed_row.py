"""A row of `given` with words and numbers in it.

The words stand for per cent, the numbers for any weights: together they mean nothing certain.

Wrong:
    given: {oil-low: {low: probable, ok: 10}}
Right:
    given: {oil-low: {low: probable, ok: improbable}}
"""

from diagtree.model.problem import Severity

ID = "mixed-row"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
