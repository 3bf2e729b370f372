"""A YAML tag.

A library holds plain data; `!` tags ask a reader to make something else of it.

Wrong:
    hours: !!float 0.5
Right:
    hours: 0.5
"""

from diagtree.model.problem import Severity

ID = "tag"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
