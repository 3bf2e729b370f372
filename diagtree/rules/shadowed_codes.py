"""An answer of trouble codes that can never be the first match.

The first answer that matches, in file order, is taken. Where an answer further up matches whenever this one does,
this one is never given. Write the narrower answer first, `[]` last.

Wrong:
    answers: {none: [], bank-1: [[P0016, P0017]]}
Right:
    answers: {bank-1: [[P0016, P0017]], none: []}
"""

from collections.abc import Iterator

from diagtree.model.check import Answer
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem

ID = "shadowed-codes"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such answer, at its id."""
    for one in library.checks.values():
        for index, answer in enumerate(one.answers) if one.kind == "codes" else ():
            wider = next((other for other in one.answers[:index] if _matches_with(other, answer)), None)
            if wider:
                message = f"'{wider.id}' further up matches whenever this does, so that it is never given. Move it up."
                yield problem(library.key("checks", one.id, "answers", answer.id), ID, message, severity=SEVERITY)


def _matches_with(wider: Answer, narrower: Answer) -> bool:
    """Whether the first matches whatever the second matches: each of its groups holds a whole group of the second.

    A group without codes could not be read: nothing is said of it.
    """
    return all(narrower.groups) and all(
        any(set(inner) <= set(group) for inner in narrower.groups) for group in wider.groups
    )
