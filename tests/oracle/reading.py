"""Library files read without the program: every scalar stays the text that was written."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

Table = dict[str, Any]
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # the same in C, where it is there


@dataclass(frozen=True, slots=True)
class Library:
    """The documents of a library by kind and id, as plain text tables."""

    shop: Table = field(default_factory=dict)
    cautions: dict[str, Any] = field(default_factory=dict)
    codes: dict[str, str] = field(default_factory=dict)  # what each trouble code means; decides nothing
    checks: dict[str, Table] = field(default_factory=dict)
    faults: dict[str, Table] = field(default_factory=dict)
    engines: dict[str, Table] = field(default_factory=dict)
    trees: dict[str, Table] = field(default_factory=dict)


def read_library(path: Path) -> Library:
    """Read a folder of YAML files, or one file."""
    if path.is_file():
        return read_text(path.read_text(encoding="utf-8"))
    files = sorted([*path.rglob("*.yaml"), *path.rglob("*.yml")])
    return read_documents(
        document for file in files for document in yaml.load_all(file.read_text("utf-8"), Loader=LOADER)
    )


def read_text(text: str) -> Library:
    """Read the documents of one YAML text."""
    return read_documents(yaml.load_all(text, Loader=LOADER))


def read_documents(documents: Iterable[Table]) -> Library:
    """Sort documents by their first key."""
    library = Library()
    for document in documents:
        kind = next(iter(document))
        if kind == "shop":
            library.shop.update(document)
        elif kind in {"engine", "tree"}:
            group = library.engines if kind == "engine" else library.trees
            group[document[kind]] = document
        else:
            target: dict[str, Any] = getattr(library, kind)
            target.update(document[kind])
    return library


def number(text: str) -> Fraction:
    """Give the exact value of a decimal as written."""
    return Fraction(text)


def mean_hours(hours: str | list[str]) -> Fraction:
    """Give the mean of hours: a number, or (a + 4m + b) / 6 of three."""
    if isinstance(hours, str):
        return number(hours)
    low, likely, high = (number(one) for one in hours)
    return (low + 4 * likely + high) / 6


def admits(when: Mapping[str, Any] | str | None, features: Mapping[str, str]) -> bool:
    """Tell whether every feature that a condition names matches; a list means any of it."""
    if not when or isinstance(when, str):
        return True
    for name, wanted in when.items():
        values = [wanted] if isinstance(wanted, str) else list(wanted)
        if features.get(name) not in values:
            return False
    return True


def labour_rate(library: Library) -> Fraction:
    """Give the money for an hour; 1 where there is no shop."""
    return number(library.shop.get("labour-rate", "1"))


def goodwill(library: Library) -> Fraction:
    """Give what a come-back costs beyond the work; 0 where there is no shop."""
    return number(library.shop.get("goodwill", "0"))


def builds(engine: Table) -> dict[str, dict[str, str]]:
    """Give each build's features."""
    return {
        name: {key: value for key, value in build.items() if key != "share"}
        for name, build in engine.get("builds", {}).items()
    }


def only_engine(library: Library) -> Table:
    """Give the single engine of a library."""
    (engine,) = library.engines.values()
    return engine
