"""Why a check, as text and JSON."""

import json
from fractions import Fraction
from typing import Any

from diagtree.model.check import Check
from diagtree.model.library import NOTICE, Library
from diagtree.reason.breakeven import BreakEven
from diagtree.report import chances
from diagtree.report.lines import COLUMNS, join, money, wrap
from diagtree.walk.advice import Next
from diagtree.walk.why import Then, Why

_MOST_NAMED = 4  # causes; more are counted


def as_json(found: Next, told: Why) -> str:
    """One JSON object."""
    case = found.session.case
    data: dict[str, Any] = {
        "tree": case.tree.id,
        "engine": case.engine.id if case.library.engines else None,
        "check": told.check,
        "advice": found.advice.check if found.advice else None,
        "answers": [
            {
                "answer": then.answer,
                "probability": then.probability,
                "belief": chances.as_data(then.belief),
                "speaks_for": list(then.speaks_for),
                "speaks_against": list(then.speaks_against),
                "repair": list(then.repair),
                "bill": then.bill,
                "loss": then.loss,
            }
            for then in told.answers
        ],
        "break_evens_of": {"by": told.by, "check": told.advice},
        "break_evens": [_even(one) for one in told.break_evens.found],
        "searched": told.break_evens.searched,
        "currency": case.library.rates.currency,
        "notice": NOTICE,
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _even(one: BreakEven) -> dict[str, Any]:
    figure = one.figure
    named = {name: getattr(figure, name) for name in ("check", "cause", "answer") if getattr(figure, name)}
    return {
        "kind": figure.kind,
        **named,
        "now": one.now,
        "until": one.until,
        "factor": one.factor,
        "becomes": one.becomes,
    }


def as_text(found: Next, told: Why, columns: int = COLUMNS) -> str:
    """For people."""
    library = found.session.case.library
    check = library.checks[told.check]
    blocks = [[f"{check.id}: {check.ask}"]]
    blocks += [answer_lines(library, check, then) for then in told.answers]
    blocks += [even_lines(found, told), [NOTICE]]
    return "\n\n".join("\n".join(line for text in block for line in wrap(text, columns)) for block in blocks) + "\n"


def answer_lines(library: Library, check: Check, then: Then) -> list[str]:
    """What one answer of a check would do."""
    answer = check.answer(then.answer)
    lines = [f"{then.answer} ({answer.text if answer else then.answer}): {chances.in_hundred(then.probability)}."]
    for says, causes in (("Speaks for", then.speaks_for), ("Speaks against", then.speaks_against)):
        if causes:
            lines.append(f"{says}: {_named(library, causes)}.")
    if then.repair:
        names = join(f"'{chances.title(library, cause)}'" for cause in then.repair)
        bill = money(Fraction(then.bill), library.rates.currency)
        lines.append(f"To stop then: repair for {names}, {bill} of work and parts.")
    else:
        lines.append("Nothing in this tree could be repaired then.")
    return lines


def _named(library: Library, causes: tuple[str, ...]) -> str:
    """Their titles; of many the first few, and how many more."""
    names = [f"'{chances.title(library, cause)}'" for cause in causes]
    more = len(names) - _MOST_NAMED
    return join(names if more < 2 else [*names[:_MOST_NAMED], f"{more} more"])


def even_lines(found: Next, told: Why) -> list[str]:
    """The advice, and what would change it."""
    now = f"'{told.advice}'" if told.advice else "to stop and repair"
    first = f"The advice is {now}" if told.by == "best order" else f"Looking one check ahead, the advice is {now}"
    if not told.break_evens.found:
        far = "moved to eight times or an eighth" if told.break_evens.searched else "tried in the time there was"
        return [f"{first}. No single figure {far} changes it."]
    lines = [f"{first}. What would change it, nearest first:"]
    lines += [f"- {_moves(found, one)}" for one in told.break_evens.found]
    if not told.break_evens.searched:
        lines.append("Not every figure was tried in the time there was: --seconds gives more.")
    return lines


def _moves(found: Next, one: BreakEven) -> str:
    library, figure = found.session.case.library, one.figure
    then = f"'{one.becomes}'" if one.becomes else "to stop and repair"
    if figure.kind == "price":
        before, after = (money(Fraction(value), library.rates.currency) for value in (one.now, one.until))
        return f"'{figure.check}' at {after} in the place of {before}: then {then}."
    title = chances.title(library, figure.cause)
    if figure.kind == "weight":
        more = "more" if one.factor > 1 else "less"
        times = one.factor if one.factor > 1 else 1 / one.factor
        return f"'{title}' {times:.2g} times {more} often: then {then}."
    percent = f"{100 * one.until:.3g} in 100 in the place of {100 * one.now:.3g}"
    return f"'{figure.answer}' to '{figure.check}' seen with '{title}' {percent}: then {then}."
