"""An alias that names nothing, or that stands where it can't.

`*name` repeats what stands further up under `&name`, whole.

Wrong:
    cautions: *usual        # no &usual above
Right:
    cautions: [hot-engine]
"""

from diagtree.model.problem import Severity

ID = "alias"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
