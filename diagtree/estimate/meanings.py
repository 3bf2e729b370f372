"""What an answer that several libraries are given means to each of them."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagtree.measure.bands import bands_on
from diagtree.measure.readings import Reading, parse_reading
from diagtree.model.check import Answer, Band, Check
from diagtree.model.engine import Engine

CANNOT_TELL = "?"
MOST_TRIES = 10_000  # sets of codes tried for one pair of answers


@dataclass(frozen=True, slots=True)
class Reply:
    """One thing that can be said of a check.

    Attributes:
        text: as `--answer CHECK=TEXT` takes it.
        views: the answer's id to each library, `?` for cannot tell; None where a library cannot take it.
    """

    text: str
    views: tuple[str | None, ...]


@dataclass(frozen=True, slots=True)
class Replies:
    """All that can be said of a check, cannot tell last. `whole`: every distinct meaning is among them."""

    found: tuple[Reply, ...]
    whole: bool = True

    @property
    def steady(self) -> bool:
        """Whether each means the same to all."""
        return self.whole and all(len(set(reply.views)) == 1 for reply in self.found)


def replies(checks: Sequence[Check | None], engines: Sequence[Engine]) -> Replies:
    """What can be said of a check, as each library has it (None: it has not), for one engine as each has it.

    Where bands or groups of codes moved between two libraries, a reading or codes stand for the answer: what was
    seen stays the same. Offsets, and readings in units that do not convert, are shared by the answer's id.
    """
    listed = list(_by_id(checks))
    whole = True
    if len(checks) == 2 and checks[0] and checks[1]:
        if checks[0].kind == checks[1].kind == "reading":
            listed = _by_reading(checks[0], checks[1], engines) or listed
        elif checks[0].kind == checks[1].kind == "codes" and _groups(checks[0]) != _groups(checks[1]):
            listed, whole = _by_codes(checks[0].answers, checks[1].answers)
    once = {reply.views: reply for reply in reversed(listed)}
    doubt = Reply(CANNOT_TELL, (CANNOT_TELL,) * len(checks))
    return Replies((*reversed(once.values()), doubt), whole)


def unit_of(check: Check) -> str:
    """The unit of a reading, on one line; empty where it has none."""
    return " ".join(check.gauge.unit.split()) if check.gauge else ""


def _by_id(checks: Sequence[Check | None]) -> Iterator[Reply]:
    ids = dict.fromkeys(answer.id for check in checks if check for answer in check.answers)
    for name in ids:
        yield Reply(name, tuple(name if check and check.answer(name) else None for check in checks))


# Readings


def _by_reading(old: Check, new: Check, engines: Sequence[Engine]) -> list[Reply]:
    """A reply for each pair of bands that share a reading; none where the units do not convert."""
    unit, other = unit_of(old), unit_of(new)
    listed: list[Reply] = []
    spans = [span for span in (old.plausible, _in_unit(new.plausible, other, unit) if new.plausible else None) if span]
    for name, band in bands_on(old, engines[0]).items():
        for moved, stretch in bands_on(new, engines[1]).items():
            same = _in_unit(stretch, other, unit)
            if same is None:
                return []
            text = name if name == moved and band == same else _reading(band, same, spans, unit)
            if not text and name == moved and _overlap((band, same)):
                text = name  # only an implausible reading lies in both: it is taken by name alone
            if text:
                listed.append(Reply(text, (name, moved)))
    return listed


def _in_unit(band: Band, unit: str, wanted: str) -> Band | None:
    if unit == wanted:
        return band
    ends: list[float | None] = []
    for limit in (band.start, band.end):
        found = None if limit is None else parse_reading(f"{limit!r} {unit}", wanted)
        if found is not None and not isinstance(found, Reading):
            return None
        ends.append(found.value if found else None)
    return Band(*ends)


def _reading(band: Band, stretch: Band, spans: Sequence[Band], unit: str) -> str:
    shared = _overlap((band, stretch, *spans))
    return f"{inside(*shared)} {unit}".strip() if shared else ""


def _overlap(bands: Sequence[Band]) -> tuple[float, float] | None:
    low = max(-math.inf if band.start is None else band.start for band in bands)
    high = min(math.inf if band.end is None else band.end for band in bands)
    return (low, high) if low < high else None


def inside(low: float, high: float) -> str:
    """A decimal with few digits from `low`, inclusive, to `high`, exclusive; either may be infinite."""
    bottom = low if math.isfinite(low) else (high - (abs(high) or 1.0) if math.isfinite(high) else -1.0)
    top = high if math.isfinite(high) else bottom + (abs(bottom) or 1.0)
    middle = bottom + (top - bottom) / 2
    for digits in range(-9, 18):
        value = round(middle, digits)
        if bottom < value < top:
            return f"{value:.{max(digits, 0)}f}"
    return repr(bottom)  # as good as nothing lies between: the lower end itself is in the band


# Codes


def _groups(check: Check) -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    return tuple((answer.id, answer.groups) for answer in check.answers)


def _by_codes(old: Sequence[Answer], new: Sequence[Answer]) -> tuple[list[Reply], bool]:
    listed: list[Reply] = []
    whole = True
    for here, first in enumerate(old):
        for there, second in enumerate(new):
            search = _Stored((*first.groups, *second.groups))
            before = (*old[:here], *new[:there])
            codes = search.find([answer.groups for answer in before], frozenset())
            whole = whole and search.tries < MOST_TRIES
            if codes is not None:
                listed.append(Reply("+".join(codes), (first.id, second.id)))
    return listed, whole


class _Stored:
    """Looks for stored codes that hit every wanted group and miss a group of each answer that stands before."""

    __slots__ = ("tries", "wanted")

    def __init__(self, wanted: tuple[tuple[str, ...], ...]) -> None:
        self.wanted = wanted
        self.tries = 0

    def find(self, missed: Sequence[tuple[tuple[str, ...], ...]], absent: frozenset[str]) -> tuple[str, ...] | None:
        self.tries += 1
        if self.tries > MOST_TRIES or any(absent.issuperset(group) for group in self.wanted):
            return None
        if not missed:
            return self._fewest(absent)
        for group in missed[0]:
            codes = self.find(missed[1:], absent.union(group))
            if codes is not None:
                return codes
        return None

    def _fewest(self, absent: frozenset[str]) -> tuple[str, ...]:
        stored: dict[str, None] = {}
        for group in self.wanted:
            if stored.keys().isdisjoint(group):
                stored[next(code for code in group if code not in absent)] = None
        return tuple(stored)


def steady_checks(meanings: Mapping[str, Replies]) -> frozenset[str]:
    """The checks of which every reply means the same to all."""
    return frozenset(name for name, found in meanings.items() if found.steady)
