"""An id that two entries of one kind share, or a second shop.

Ids are unique in their kind over all files of a library, and a library has one shop. The first is kept.

Wrong:
    faults:
      oil-low: {title: Oil low, why: Leaks., repair: [], verify: []}
    ---
    faults:
      oil-low: {title: Oil too low, why: Burnt., repair: [], verify: []}
Right:
    faults:
      oil-low: {title: Oil low, why: Leaks or burnt., repair: [], verify: []}
"""

from diagtree.model.problem import Severity

ID = "duplicate-id"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
