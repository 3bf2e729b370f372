"""Text that is not YAML.

From here on the file can't be read, and nothing in it is known. Mostly a quote or a colon is missing, or the
indentation is off, on this line or the one above.

Wrong:
    checks
      oil-level: {ask: Level?
Right:
    checks:
      oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
"""

from diagtree.model.problem import Severity

ID = "syntax"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
