"""What to check next, as text and JSON."""

import json
from fractions import Fraction
from typing import Any

from diagtree.model.library import NOTICE
from diagtree.reason.belief import Belief
from diagtree.reason.looking import Look, Possible, meant
from diagtree.reason.stopping import Stop
from diagtree.report import chances
from diagtree.report.lines import COLUMNS, join, money, pad, wrap
from diagtree.walk.advice import Next, hint
from diagtree.walk.session import Session


def as_json(found: Next) -> str:
    """The looks as one JSON object."""
    return json.dumps(as_data(found), indent=2, allow_nan=False) + "\n"


def as_data(found: Next) -> dict[str, Any]:
    """Ids as in the files, money as numbers. `stop` names the likeliest build's scope; `by_build` all of them.

    Where the answers contradict one another there is nothing to weigh: `contradiction` names them.
    """
    session, now = found.session, found.belief
    case = session.case
    builds = session.known.builds
    return {
        "tree": case.tree.id,
        "engine": case.engine.id if case.library.engines else None,
        "build": builds[0].id if case.library.engines and len(builds) == 1 else None,
        "belief": chances.as_data(now.by_fault) if isinstance(now, Belief) else [],
        "stop": _stop(found),
        "conflict": now.conflict if isinstance(now, Belief) else None,
        "contradiction": [] if isinstance(now, Belief) else list(now.checks),
        "checks": [_look(look) for look in found.looks],
        "advice": _advice(found),
        "close_call": list(session.close_calls),
        "currency": case.library.rates.currency,
        "notice": NOTICE,
    }


def _look(look: Look) -> dict[str, Any]:
    return {
        "check": look.check,
        "price": look.price,
        "worth": look.worth,
        "information": look.information,
        "net": look.net,
        "answers": dict(look.answers),
    }


def _advice(found: Next) -> dict[str, Any] | None:
    advice = found.advice
    if advice is None:
        return None
    return {"check": advice.check, "cost": advice.cost, "bound": advice.bound, "exact": advice.exact}


def _stop(found: Next) -> dict[str, Any] | None:
    if found.stops is None:
        return None
    each = [
        {"build": car.here.case.build.id, "probability": car.share, **_one(car, stop)}
        for car, stop in zip(found.cars, found.stops.by_build, strict=True)
    ]
    likeliest = max(each, key=lambda one: one["probability"])
    shown = {name: likeliest[name] for name in ("repair", "mends", "steps")}
    return {**shown, "loss": found.stops.loss, "residual": found.stops.residual, "by_build": each}


def _one(car: Possible, stop: Stop | None) -> dict[str, Any]:
    if stop is None:
        return {"repair": [], "mends": [], "steps": []}
    of = car.here.case
    onward = {tree for tree, bit in of.onward.items() if stop.steps & bit}
    return {
        "repair": [of.causes[at] for at in meant(car.here, stop)],
        "mends": [of.causes[at] for at in stop.mends],
        "steps": list(of.names(stop.steps | car.here.done)),
        **({"continue": sorted(onward)} if onward else {}),
    }


def as_text(found: Next, columns: int = COLUMNS) -> str:
    """For people: what it may be, what to do next and why, every check with its price and its worth."""
    now = found.belief
    if not isinstance(now, Belief) or found.stops is None:
        return "\n".join(wrap(_contradicted(found), columns)) + "\n"
    told = [_chances(found, now), _close_calls(found), _advised(found), _stopping(found)]
    blocks = [[line for text in block for line in wrap(text, columns)] for block in told]
    blocks += [_table(found, columns), wrap(NOTICE, columns)]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def hint_lines(session: Session) -> list[str]:
    """The advice beside a question, and where the tree and the advice part. No line where there is none."""
    found = hint(session)
    if found is None:
        return []
    currency = session.case.library.rates.currency
    ahead = "" if found.by == "best order" else " (looking one check ahead)"
    if found.check is None:
        loss = money(Fraction(found.stop), currency)
        return [f"By cost alone{ahead}: stop looking and repair, {loss} on average with come-backs. The tree asks on."]
    price = money(Fraction(found.price), currency)
    if not found.parts:
        return [f"By cost alone{ahead}: this check, {price}."]
    check = session.case.library.checks[found.check]
    return [f"By cost alone{ahead}: '{check.id}' first, {price}: {check.ask} The tree asks for '{found.asked}'."]


def hint_brief(session: Session) -> str:
    """The same in a few words; '' where there is none."""
    found = hint(session)
    if found is None:
        return ""
    currency = session.case.library.rates.currency
    if found.check is None:
        return f"By cost alone: stop and repair, {money(Fraction(found.stop), currency)}."
    named = f"'{found.check}' first" if found.parts else "this check"
    return f"By cost alone: {named}, {money(Fraction(found.price), currency)}."


def _contradicted(found: Next) -> str:
    checks = "" if isinstance(found.belief, Belief) else join(found.belief.checks)
    return f"The answers to {checks} can't stand together in any car of this tree. Take them again."


def _chances(found: Next, now: Belief) -> list[str]:
    rows = chances.as_lines(found.session.case.library, now.by_fault)
    return [f"Of 100 cars like this ({chances.ground(found.session.tree)}):", *(f"- {row}" for row in rows)]


def _close_calls(found: Next) -> list[str]:
    """Readings and patterns of the answers known that are too close to call, and what would clear them."""
    from diagtree.report.question import close_call  # the words of a walk, which `--json` does without

    return [close_call(found.session, found.session.known.findings[name]) for name in found.session.close_calls]


def _currency(found: Next) -> str:
    return found.session.case.library.rates.currency


def _money(found: Next, value: float) -> str:
    return money(Fraction(value), _currency(found))


def _advised(found: Next) -> list[str]:
    advice = found.advice
    if advice is None:
        return []
    if advice.check is None:
        first = "Next, by cost alone: stop looking, and repair. No check left is worth its price."
    else:
        check = found.session.case.library.checks[advice.check]
        look = next(look for look in found.looks if look.check == advice.check)
        first = f"Next, by cost alone: {check.id}. {check.ask} It costs {_money(found, look.price)}."
        if look.net <= 0:
            first += " Alone it would not pay; with what follows it does."
    total = f"From here to the end it comes to {_money(found, advice.cost)} on average, come-backs among it."
    if not advice.exact:
        total += f" No order of checks can take less than {_money(found, advice.bound)}; more time (--seconds 10) may"
        total += " find a better one."
    return [first, total]


def _stopping(found: Next) -> list[str]:
    assert found.stops is not None
    car, stop = max(zip(found.cars, found.stops.by_build, strict=True), key=lambda pair: pair[0].share)
    if stop is None:
        return ["Nothing in this tree can be repaired on this build."]
    library = found.session.case.library
    names = join(chances.title(library, car.here.case.causes[at]) for at in meant(car.here, stop))
    left = chances.in_hundred(found.stops.residual)
    first = f"If you stop now: repair for '{names}'. That comes to {_money(found, found.stops.loss)} on average."
    return [first, f"{left[0].upper()}{left[1:]} such cars would come back."]


def _table(found: Next, columns: int) -> list[str]:
    if not found.looks:
        return ["No check of this tree is left."]
    rows: list[tuple[str, ...]] = [("check", "price", "worth", "net")]
    rows += [(look.check, f"{look.price:.2f}", f"{look.worth:.2f}", f"{look.net:.2f}") for look in found.looks]
    wide = [max(len(row[at]) for row in rows) for at in range(4)]
    wide[0] = min(wide[0], max(8, columns - sum(wide[1:]) - 8))
    head = f"Checks, best first, in {_currency(found)} (worth: what the answer saves on average):"
    return [*wrap(head, columns), *(_row(row, wide) for row in rows)]


def _row(row: tuple[str, ...], wide: list[int]) -> str:
    figures = (pad(row[at], wide[at], right=True) for at in (1, 2, 3))
    return "  ".join((pad(row[0][: wide[0]], wide[0]), *figures))
