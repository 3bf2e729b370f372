"""A whole library, and its shop."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from diagtree.model.check import Check
from diagtree.model.engine import Engine
from diagtree.model.fault import Caution, Fault
from diagtree.model.problem import NOWHERE, Origin, Place
from diagtree.model.tree import Tree

Kind: TypeAlias = Literal["shop", "cautions", "codes", "checks", "faults", "engine", "tree"]
Charge: TypeAlias = Literal["labour", "parts", "both"]

NOTICE = (
    "The maker's service data, local rules and licensed practice decide over anything said here. "
    "Stop where you are not sure."
)


@dataclass(frozen=True, slots=True)
class Extra:
    """A charge that a customer reads: per cent of labour, of parts or of both, up to `limit`."""

    title: str
    per_cent: float
    of: Charge
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """The workshop. Money in its currency before tax; the rate per hour; tax in per cent."""

    id: str
    name: str
    currency: str
    labour_rate: float
    tax: float
    goodwill: float  # what a come-back costs beyond doing the work again
    extras: tuple[Extra, ...] = ()
    round_to: float = 0.0
    units: tuple[str, ...] = ()


# Stands in where a library has no shop: money is then hours.
HOURS_ONLY = Shop(id="", name="", currency="h", labour_rate=1.0, tax=0.0, goodwill=0.0)


@dataclass(frozen=True, slots=True)
class Library:
    """Everything that was read, by id, in the order of the files."""

    shop: Shop | None = None
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    codes: Mapping[str, str] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    faults: Mapping[str, Fault] = field(default_factory=dict)
    engines: Mapping[str, Engine] = field(default_factory=dict)
    trees: Mapping[str, Tree] = field(default_factory=dict)
    origins: Mapping[tuple[Kind, str], Origin] = field(default_factory=dict, repr=False)
    unread: frozenset[tuple[Kind, str]] = frozenset()  # ids that stand, with entries too wrong to read

    @property
    def rates(self) -> Shop:
        """The shop, or the stand-in that shows costs in hours."""
        return self.shop or HOURS_ONLY

    def key(self, kind: Kind, entry: str, *path: str | int) -> Place:
        """Where a key inside an entry stands."""
        origin = self.origins.get((kind, entry))
        return origin.key(*path) if origin else NOWHERE

    def value(self, kind: Kind, entry: str, *path: str | int) -> Place:
        """Where a value inside an entry stands."""
        origin = self.origins.get((kind, entry))
        return origin.value(*path) if origin else NOWHERE
