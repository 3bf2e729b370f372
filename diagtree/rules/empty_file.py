"""A file with nothing in it.

It is often the rest of a file that was to be written or moved.

Wrong:
    # rattle.yaml: only this comment
Right:
    faults:
      oil-low: {title: Oil low, why: Leaks., repair: [], verify: [Level right.]}
"""

from diagtree.model.problem import Severity

ID = "empty-file"
SEVERITY: Severity = "warning"
FORM = True  # found where files are read
