"""A file that is not UTF-8 text.

In another encoding letters with accents turn into others, and nobody sees it.

Wrong: a file saved as Latin-1 or UTF-16.
Right: the same file saved as UTF-8.
"""

from diagtree.model.problem import Severity

ID = "not-utf8"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
