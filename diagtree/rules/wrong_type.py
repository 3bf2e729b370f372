"""A value of the wrong sort.

A list stands where a word is meant, words where a number is, or a form that this place has not.

Wrong:
    oil-level: {ask: Level?, hours: six minutes, answers: [low, ok]}
Right:
    oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
"""

from diagtree.model.problem import Severity

ID = "wrong-type"
SEVERITY: Severity = "error"
FORM = True  # found where files are read
