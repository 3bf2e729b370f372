"""A number outside the range that makes sense.

Negative hours and prices, a chance above 1, or three-point hours that do not rise.

Wrong:
    hours: [1.5, 0.8, 0.5]
Right:
    hours: [0.5, 0.8, 1.5]
"""

from diagtree.model.problem import Severity

ID = "out-of-range"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
