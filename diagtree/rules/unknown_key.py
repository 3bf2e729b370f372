"""A key that has no meaning where it stands.

What it says would be ignored, and what was meant be missing.

Wrong:
    oil-level: {ask: Level?, huors: 0.1, answers: {low: Low, ok: Right}}
Right:
    oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
"""

from diagtree.model.problem import Severity

ID = "unknown-key"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
