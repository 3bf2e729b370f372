"""Text that is too long for its box on a poster.

A question's box is some 104 points wide and its words are set in 10 points, some 20 letters to the line; a fault's
title has 135 points in bold 9, some 27; an answer 66 points in 7.5, some 18. Beyond six lines of a question and four
of the others a box grows so large that everything else on the sheet must shrink. So a question has up to 120 letters,
a fault's title 110, an answer 70. How it is done stands in `how`, why in `why`.

Wrong:
    ask: >-
      With the car on level ground and the engine off for ten minutes, pull the dipstick, wipe it, put it back,
      pull it again: where does the oil stand?
Right:
    ask: Where does the oil stand on the dipstick?
    how: Level ground, engine off for ten minutes.
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem

ID = "long-text"
SEVERITY: Severity = "warning"

# Letters that fill six lines of a question, and four of a title or an answer, as the drawing sets them.
QUESTION, TITLE, ANSWER = 120, 110, 70


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such text, at the text."""
    for one in library.checks.values():
        yield from _long("This question", one.ask, QUESTION, library.value("checks", one.id, "ask"))
        for answer in one.answers:
            place = library.value("checks", one.id, "answers", answer.id)
            yield from _long("This answer", answer.text, ANSWER, place)
    for fault in library.faults.values():
        yield from _long("This title", fault.title, TITLE, library.value("faults", fault.id, "title"))


def _long(what: str, text: str, most: int, place: Place) -> Iterator[Problem]:
    if len(text) > most:
        message = f"{what} has {len(text)} letters, and a poster's box holds about {most}. Shorten it."
        yield problem(place, ID, message, severity=SEVERITY)
