"""A character that can't be seen.

Control characters, escape sequences and marks that turn the reading direction can make a line say something else
than it seems to, on a screen or on paper.

Wrong: a title pasted with an escape sequence or a right-to-left mark in it.
Right: the same words typed again.
"""

from diagtree.model.problem import Severity

ID = "hidden-character"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
