"""An engine family: its builds, its labour, its parts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from diagtree.model.check import Band
from diagtree.model.quantity import ALWAYS, Condition, Features, Hours, Take


@dataclass(frozen=True, slots=True)
class Feature:
    """Something in which builds differ, and how to see it without taking anything apart."""

    id: str
    title: str
    values: tuple[str, ...]
    tell: str = ""


@dataclass(frozen=True, slots=True)
class Build:
    """One way the engine was made. `share` is how common it is, any weight."""

    id: str
    features: Features = field(default_factory=dict)
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Tightening:
    """Bolts and their tightening steps in order, as the book writes them."""

    bolts: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A step of labour, access or repair."""

    id: str
    title: str
    hours: Hours
    after: tuple[str, ...] = ()  # access: pulled in, and done first
    follows: tuple[str, ...] = ()  # order only
    brings: Mapping[str, str] = field(default_factory=dict)  # done along with it: step -> reason
    takes: tuple[Take, ...] = ()
    when: Condition = ALWAYS
    offer: str = ""  # not empty: offered, with the reason, where it is not in a scope
    do: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    torque: tuple[Tightening, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class PartNumber:
    """What to order for a build, and its price for one (or for one of the part's unit)."""

    number: str
    price: float
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Part:
    """A part. `single_use` says why it is not fitted again; `unit` lets it be taken in decimals."""

    id: str
    title: str
    numbers: tuple[PartNumber, ...] = ()
    single_use: str = ""
    unit: str = ""
    deposit: float = 0.0


@dataclass(frozen=True, slots=True)
class Kit:
    """Several parts under one number and price."""

    number: str
    title: str
    price: float
    holds: Mapping[str, float]
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Cam:
    """A camshaft: its bank, and the tight-side chain length from the crank to it, in mm."""

    id: str
    bank: int
    span: float


# `leading`: the edge at which a tooth comes, whichever way the signal goes there.
CrankEdge: TypeAlias = Literal["", "leading", "rising", "falling"]


@dataclass(frozen=True, slots=True)
class Sensor:
    """A trigger wheel: teeth as evenly spaced places round it, and how many of them are left out for the gap.

    A camshaft's may hold where a good engine's edges stand, in crank degrees (0 to below 720) from the first tooth
    behind the crank's gap: `edges` where nobody knows which way the signal went, else `rises`, `falls` or both.
    """

    teeth: int
    missing: int = 0  # less than `teeth`
    edge: CrankEdge = ""  # of the crank: at which edge of its teeth the good pattern was taken; empty: not known
    edges: tuple[float, ...] = ()
    rises: tuple[float, ...] = ()
    falls: tuple[float, ...] = ()
    uncertainty: float = 0.0  # of those edges, expanded (k = 2), crank degrees


CRANK = "crank"  # the crank's trigger wheel among the sensors


@dataclass(frozen=True, slots=True)
class Timing:
    """The chain drive's geometry. Pitch in mm."""

    pitch: float
    crank_teeth: int
    cam_teeth: int
    cams: Mapping[str, Cam]
    links: int | None = None
    sensors: Mapping[str, Sensor] = field(default_factory=dict)  # by camshaft, and `CRANK`


@dataclass(frozen=True, slots=True)
class Engine:
    """An engine family."""

    id: str
    title: str
    features: Mapping[str, Feature] = field(default_factory=dict)
    builds: Mapping[str, Build] = field(default_factory=dict)
    limits: Mapping[str, Mapping[str, Band]] = field(default_factory=dict)  # check -> answer -> band
    timing: Timing | None = None
    work: Mapping[str, Step] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    kits: tuple[Kit, ...] = ()


# An engine that states no builds has one, and a library without an engine has this one.
ONLY = "only"
ONLY_BUILD = Build(ONLY)
ONLY_ENGINE = Engine(ONLY, "", builds={ONLY: ONLY_BUILD})
