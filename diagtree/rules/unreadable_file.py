"""A file or folder that can't be read.

It is not there, its permissions forbid it, it is no plain file, or it is too large.

Wrong: a pipe, a device or a folder without permission inside the library.
Right: plain files that end in .yaml or .yml.
"""

from diagtree.model.problem import Severity

ID = "unreadable-file"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
