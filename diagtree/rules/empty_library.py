"""A folder without a library file.

Files are found by their ending, in the folder and below it.

Wrong: a folder that holds only `rattle.txt`.
Right: the same folder with `rattle.yaml`.
"""

from diagtree.model.problem import Severity

ID = "empty-library"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
