"""The answers known before a command starts: `--answers FILE`, then `--answer CHECK=ANSWER`, which replaces."""

import sys
from argparse import Namespace


def known_answers(args: Namespace) -> dict[str, str] | str:
    """Check id -> the answer as typed; else the sentence that says what is wrong. No library is asked."""
    answers: dict[str, str] = {}
    if args.answers is not None:
        from diagtree.source.answers import read_answers

        answers, problems = read_answers(args.answers)
        if problems:
            from diagtree.report.problems import as_text

            sys.stderr.write(as_text(problems, {}))
            return "The file of answers cannot be used."
    for pair in args.answer:
        name, equals, text = pair.partition("=")
        if not equals:
            return f"'{pair}' is no answer. Write CHECK=ANSWER, such as oil-level=ok."
        answers[name.strip()] = text.strip()
    return answers
