"""Shapes that several kinds share: hours, money, conditions, amounts, references."""

import re
from datetime import date

from diagtree.model.quantity import ALWAYS, Amount, Condition, Hours, Take
from diagtree.source.nodes import Node, value_place
from diagtree.source.shapes import BAD, IDENTITY, TEXT, Bad, ByType, Desk, ListOf, Made, MapOf, Number, Pattern

MONEY = Number("an amount of money, a number", least=0)
WEIGHT = Number("a weight, a number", least=0)
_HOURS_WORDS = "hours: a number, or three such as [0.5, 0.8, 1.5] (optimistic, likely, pessimistic)"
_HOUR = Number("a number of hours", least=0, most=10_000)
# A value of a feature: short plain text, compared as text.
VALUE = TEXT
NAME = IDENTITY


def _three(values: tuple[float, ...], node: Node, desk: Desk) -> Hours | Bad:
    if len(values) != 3:  # one of them could not be read, and was reported
        return BAD
    optimistic, likely, pessimistic = values
    if optimistic <= likely <= pessimistic:
        return Hours(optimistic, likely, pessimistic)
    message = "Three-point hours must not fall: write [optimistic, likely, pessimistic], the least first."
    return desk.report(value_place(desk.text, node), "out-of-range", message)


def _point(value: float, _node: Node, _desk: Desk) -> Hours:
    return Hours(value, value, value)


HOURS = ByType[Hours](
    _HOURS_WORDS, text=Made(_HOUR, _point), items=Made(ListOf(_HOUR, _HOURS_WORDS, least=3, most=3), _three)
)


def _listed(value: str, _node: Node, _desk: Desk) -> tuple[str, ...]:
    return (value,)


def _condition(terms: dict[str, tuple[str, ...]], _node: Node, _desk: Desk) -> Condition:
    return Condition(tuple(terms.items())) if terms else ALWAYS


_VALUES = ByType[tuple[str, ...]](
    "a feature's value, or a list of its values",
    text=Made(VALUE, _listed),
    items=ListOf(VALUE, "a list of a feature's values", least=1),
)
WHEN = Made(MapOf(_VALUES, "a condition such as {chain: roller}", key=NAME), _condition)


def amount(number: Number, wanted: str) -> ByType[Amount]:
    """A number, or one by a feature: `{phasers-per-bank: {1: 2, 2: 4}}`."""

    def fixed(value: float, _node: Node, _desk: Desk) -> Amount:
        return Amount(value)

    def by_feature(found: dict[str, dict[str, float]], _node: Node, _desk: Desk) -> Amount | Bad:
        return next((Amount(0.0, feature, values) for feature, values in found.items()), BAD)

    inner = MapOf(number, "a number for each value of the feature", least=1)
    return ByType(
        wanted,
        text=Made(number, fixed),
        entries=Made(MapOf(inner, f"{wanted}, by one feature", key=NAME, least=1, most=1), by_feature),
    )


_QUANTITY = amount(
    Number("a quantity, a number", above=0), "a quantity, or one by feature such as {rows: {1: 2, 2: 4}}"
)


def _takes(found: dict[str, Amount], _node: Node, _desk: Desk) -> tuple[Take, ...]:
    return tuple(Take(part, quantity) for part, quantity in found.items())


TAKES = Made(MapOf(_QUANTITY, "parts and quantities such as {front-seal: 1}", key=NAME), _takes)


def names(what: str, *, least: int = 0) -> ListOf[str]:
    """A list of ids."""
    return ListOf(NAME, f"a list of {what}, such as [one, two]", least=least)


def lines(what: str) -> ListOf[str]:
    """A list of plain sentences."""
    return ListOf(TEXT, f"a list of {what}")


CAUTIONS = names("caution ids")
_DATE = Pattern(
    re.compile(r"\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])"), "a date such as 2026-11-25", "wrong-type"
)


def _date(text: str, node: Node, desk: Desk) -> str | Bad:
    try:
        date.fromisoformat(text)
    except ValueError:
        return desk.report(value_place(desk.text, node), "out-of-range", f"No calendar has {text}. Correct the date.")
    return text


DATE = Made(_DATE, _date)
CODE = Pattern(re.compile(r"[PCBU][0-3][0-9A-F]{3}"), "a trouble code such as P0016", "bad-code")
