"""What somebody asks a scope for: faults by id, and the builds that can have them all."""

from collections.abc import Sequence
from dataclasses import dataclass

from diagtree.model.engine import Build
from diagtree.model.fault import Fault
from diagtree.model.library import Library


@dataclass(frozen=True, slots=True)
class Request:
    """Faults to be mended together, each once, and the builds that can have all of them."""

    faults: tuple[Fault, ...]
    builds: tuple[Build, ...]


def request(library: Library, builds: Sequence[Build], ids: Sequence[str]) -> Request | str:
    """The faults of these ids in the possible builds that can have them all; else the sentence that says why not."""
    for name in ids:
        if name not in library.faults:
            return f"The library has no fault '{name}'. {_nearest(name, library)}".strip()
    faults = tuple(library.faults[name] for name in dict.fromkeys(ids))
    able = tuple(build for build in builds if all(fault.when.admits(build.features) for fault in faults))
    return Request(faults, able) if able else _not_here(builds, faults)


def _nearest(name: str, library: Library) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, library.faults, n=1, cutoff=0.0)
    return f"The nearest is '{near[0]}'." if near else ""


def _not_here(builds: Sequence[Build], faults: Sequence[Fault]) -> str:
    listed = ", ".join(f"'{build.id}'" for build in builds)
    for fault in faults:
        if not any(fault.when.admits(build.features) for build in builds):
            terms = ", ".join(f"{name}: {' or '.join(values)}" for name, values in fault.when.terms)
            where = f"Build {listed} is none of these." if len(builds) == 1 else f"None of {listed} is."
            return f"'{fault.id}' occurs only where {terms}. {where}"
    together = ", ".join(f"'{fault.id}'" for fault in faults)
    return f"No one build can have {together} together. Ask for them one by one."
