"""An amount moved along the twenty dots: what each key does to it, and how it looks. No terminal in here."""

from dataclasses import dataclass, replace
from math import ceil, floor, log10

from diagtree.estimate.estimate import Estimate
from diagtree.report import estimate_words as words
from diagtree.report.estimate import enough
from diagtree.report.lines import wrap

_LOST = 1e-9  # a step that lost its last bits is still that step
LEAVING = frozenset({"enter", "q", "escape"})


@dataclass(frozen=True, slots=True)
class Moved:
    """Where the amount stands."""

    estimate: Estimate
    amount: float  # at least 0, a whole number of steps
    left: bool = False


def begin(estimate: Estimate) -> Moved:
    """At what is recommended."""
    return Moved(estimate, enough(estimate))


def step(estimate: Estimate) -> float:
    """What one key moves: the shop's step of rounding, else a round part of a hundredth of the dearest dot."""
    rounded = estimate.library.rates.round_to
    if rounded:
        return float(rounded)
    least = max(0.01, estimate.dots[-1] / 100)
    ten = 10.0 ** floor(log10(least))
    return next(ten * part for part in (1, 2, 5, 10) if ten * part >= least * (1 - _LOST))


def press(view: Moved, key: str) -> Moved:
    """The view after a key; unknown keys do nothing."""
    if key in LEAVING:
        return replace(view, left=True)
    one, dots = step(view.estimate), view.estimate.dots
    places = [ceil(dot / one - _LOST) for dot in dots]  # the least whole steps that hold each dot
    here = round(view.amount / one)
    match key:
        case "right":
            here += 1
        case "left":
            here -= 1
        case "page-up":
            here += 10
        case "page-down":
            here -= 10
        case "up":
            here = next((place for place in places if place > here), here)
        case "down":
            inside = [place for place in places if place <= here]
            here = max((place for place in places if place < (inside[-1] if inside else 0)), default=0)
        case "home":
            here = places[0]
        case "end":
            here = places[-1]
        case _:
            return view
    return replace(view, amount=round(max(0, here) * one, 9))


def rows(view: Moved, columns: int) -> list[str]:
    """What stands on the screen: the share, the dots, the keys. Lines of at most `columns` cells."""
    one, ten = (words.plain(view.estimate, step(view.estimate) * many) for many in (1, 10))
    keys = f"← → {one}; PgUp PgDn {ten}; ↑ ↓ dot to dot; Home End; Enter or q leaves."
    return [
        *wrap(words.inside(view.estimate, view.amount), columns),
        *wrap(words.dots(view.estimate, view.amount), columns),
        *wrap(keys, columns),
    ]
