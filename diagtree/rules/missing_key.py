"""A key that must be there and is not.

Without it the entry has no meaning: a check without its question, a fault without its repair.

Wrong:
    oil-level: {hours: 0.1, answers: {low: Low, ok: Right}}
Right:
    oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
"""

from diagtree.model.problem import Severity

ID = "missing-key"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
