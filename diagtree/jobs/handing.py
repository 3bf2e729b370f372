"""What is handed to a store, and what comes back. Kept free of SQLAlchemy: a walk is ready before that has loaded."""

from dataclasses import dataclass

from diagtree.jobs.record import Entry, Job


@dataclass(frozen=True, slots=True)
class Unkept:
    """Why a store could not be read or written, in a sentence or two."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Beginning:
    """A job to be begun."""

    tree: str
    engine: str  # empty where the library has none
    entries: tuple[Entry, ...]  # signed; at least one
    number: str = ""  # the workshop's own; empty: the next free one


@dataclass(frozen=True, slots=True)
class Appended:
    """What came of adding to a job."""

    job: Job  # with everything in it
    meanwhile: tuple[Entry, ...]  # what others had added since it was last read here
    aside: tuple[Entry, ...]  # of what was handed over: what came too late, kept without effect
