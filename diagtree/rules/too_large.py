"""Something larger or deeper than any library needs.

It is mostly a broken file, or one that is meant to fill the memory. A file with more problems than are shown has
this one too.

Wrong: lists nested a hundred deep, or aliases that stand for a million values.
Right: the same data, written flat.
"""

from diagtree.model.problem import Severity

ID = "too-large"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
