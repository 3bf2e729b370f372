"""The bands of readings, a check's own and those that an engine moves, with where they stand."""

from collections.abc import Iterator
from typing import NamedTuple

from diagtree.model.check import Band, Check
from diagtree.model.library import Kind, Library
from diagtree.model.problem import Place
from diagtree.rules.survey import stands


class Ranges(NamedTuple):
    """One set of bands that must tile the line: answer -> band."""

    kind: Kind
    entry: str
    path: tuple[str, ...]
    check: Check
    bands: dict[str, Band]

    def key(self, library: Library, answer: str) -> Place:
        """Where an answer of the set stands."""
        return library.key(self.kind, self.entry, *self.path, answer)

    def value(self, library: Library, answer: str, end: str) -> Place:
        """Where the `from` or `below` of an answer stands."""
        return library.value(self.kind, self.entry, *self.path, answer, end)


def ranges(library: Library) -> Iterator[Ranges]:
    """Every set of bands that could be read whole."""
    for check in library.checks.values():
        if check.kind == "reading":
            bands = {answer.id: answer.band for answer in check.answers if answer.band}
            yield from _whole(library, Ranges("checks", check.id, ("answers",), check, bands))
    for engine in library.engines.values():
        for name, moved in engine.limits.items():
            limited = library.checks.get(name)
            if limited and limited.kind == "reading":
                bands = {answer: band for answer, band in moved.items() if limited.answer(answer)}
                yield from _whole(library, Ranges("engine", engine.id, ("limits", name), limited, bands))


def _whole(library: Library, found: Ranges) -> Iterator[Ranges]:
    """The set, unless an end of it stands there unread: that is reported already."""
    for answer, band in found.bands.items():
        for end, value in (("from", band.start), ("below", band.end)):
            if value is None and stands(library, found.kind, found.entry, *found.path, answer, end):
                return
    if found.bands:
        yield found


def start(band: Band) -> float:
    """Where a band begins on the line."""
    return float("-inf") if band.start is None else band.start


def end(band: Band) -> float:
    """Where a band stops on the line."""
    return float("inf") if band.end is None else band.end


def ascending(found: Ranges) -> list[tuple[str, Band]]:
    """The bands that are not empty, from the lowest up."""
    whole = [pair for pair in found.bands.items() if start(pair[1]) < end(pair[1])]
    return sorted(whole, key=lambda pair: (start(pair[1]), end(pair[1])))
