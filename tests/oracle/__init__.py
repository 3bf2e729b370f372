"""A second, slow and plain reading of the formats, so that the program has something to agree with.

Nothing here imports the program. Sets, loops and exact fractions; no cleverness.
"""

import pytest

pytest.register_assert_rewrite("tests.oracle.agreement")  # its asserts then say both sides
