"""An id that is not lower-case words joined by hyphens.

Ids stand on command lines, in links and in file names: letters a to z, digits, and single hyphens between them.

Wrong:
    faults: {Oil_Low: {title: Oil low, why: Leaks., repair: [], verify: []}}
Right:
    faults: {oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}}
"""

from diagtree.model.problem import Severity

ID = "bad-id"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
