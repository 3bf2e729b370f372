"""A document whose first key is none of the kinds.

The first key says what a document holds: shop, cautions, codes, checks, faults, engine or tree.

Wrong:
    title: Rattle on cold start
    tree: rattle
Right:
    tree: rattle
    title: Rattle on cold start
"""

from diagtree.model.problem import Severity

ID = "unknown-kind"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
