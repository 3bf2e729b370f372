"""A key that stands twice in one mapping.

YAML readers keep one of the two without a word; here the first is kept, and both places are named.

Wrong:
    answers:
      low: Below the lower mark
      low: Between the marks
Right:
    answers:
      low: Below the lower mark
      ok: Between the marks
"""

from diagtree.model.problem import Severity

ID = "duplicate-key"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
