"""Something larger or deeper than any library needs.

It is mostly a broken file, or one that is meant to fill the memory.

Wrong: lists nested a hundred deep, or aliases that stand for a million values.
Right: the same data, written flat.
"""

from diagtree.model.problem import Severity

ID = "too-large"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
