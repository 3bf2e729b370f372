"""A trouble code that has not the form of one.

A code is P, C, B or U, a digit from 0 to 3, and three digits or letters A to F (SAE J2012, ISO 15031-6). A letter O
for a zero would never match what the scan tool reads.

Wrong:
    answers: {bank-1: [[PO016]], none: []}
Right:
    answers: {bank-1: [[P0016]], none: []}
"""

from diagtree.model.problem import Severity

ID = "bad-code"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
