"""What stands beside a step wherever it is shown: why it is there, cautions, tightening."""

from collections.abc import Callable, Iterable, Mapping

from diagtree.measure.torque import TorqueStep, parse_step, show
from diagtree.model.engine import ONLY, Engine, Step, Tightening
from diagtree.model.fault import LEVELS, Caution, Fault
from diagtree.model.library import Library
from diagtree.scope.plan import Reason, ReasonKind
from diagtree.scope.scope import Scope


def has_builds(engine: Engine) -> bool:
    """Whether the engine states builds: the stand-in build is nobody's name for anything."""
    return any(name != ONLY for name in engine.builds)


def why(reasons: Iterable[Reason], name: Callable[[Reason], str], forms: Mapping[ReasonKind, tuple[str, str]]) -> str:
    """Why a step is there, in one line; reasons that read alike are said together.

    Args:
        reasons: of one step.
        name: how a fault, a step or a check is called.
        forms: what stands before and behind the names, for each kind; the library's own words come first of all.
    """
    alike: dict[tuple[ReasonKind, str], list[str]] = {}
    for reason in reasons:
        alike.setdefault((reason.kind, reason.say), []).append(name(reason))
    said = ""
    for (kind, say), names in alike.items():
        one = " ".join(filter(None, (say, forms[kind][0] + ", ".join(names) + forms[kind][1])))
        between = " " if said.endswith(".") else "; "
        said += f"{between}{one}" if said else one
    return said


def mended(scope: Scope) -> tuple[Fault, ...]:
    """The faults to mend, without those that no possible build can have: their work is left out, too."""
    known = [one for one in scope.faults if any(one.when.admits(build.features) for build in scope.builds)]
    return tuple(known) or scope.faults


def cautions(scope: Scope) -> list[Caution]:
    """Those of the faults and the steps that some possible build meets, each once; `stop` first."""
    named = dict.fromkeys(
        (
            *(name for fault in mended(scope) for name in fault.cautions),
            *(name for marked in scope.steps for name in marked.entry.step.cautions),
        )
    )
    return sorted(_that_apply(scope, named), key=lambda caution: LEVELS.index(caution.level))


def cautions_of(scope: Scope, step: Step) -> list[Caution]:
    """Those of one step that some possible build meets; `stop` first."""
    return sorted(_that_apply(scope, step.cautions), key=lambda caution: LEVELS.index(caution.level))


def _that_apply(scope: Scope, named: Iterable[str]) -> list[Caution]:
    known = [scope.library.cautions[name] for name in named if name in scope.library.cautions]
    return [one for one in known if any(one.when.admits(build.features) for build in scope.builds)]


def tightening(library: Library, bolts: Tightening) -> list[str]:
    """The steps of a tightening sequence in the shop's units; one that cannot be read stays as written."""
    shown = []
    for text in bolts.steps:
        step = parse_step(text)
        shown.append(show(step, library.rates.units) if isinstance(step, TorqueStep) else text)
    return shown


def tightening_words(library: Library, bolts: Tightening) -> list[str]:
    """The same as a hand does it: a turn says whether it loosens or goes on, instead of a sign."""
    return [
        _turn(step) if isinstance(step := parse_step(text), TorqueStep) and step.is_angle else said
        for text, said in zip(bolts.steps, tightening(library, bolts), strict=True)
    ]


def _turn(step: TorqueStep) -> str:
    angle = f"{abs(step.value):.{step.decimals}f} {step.unit}"
    return f"loosen {angle}" if step.value < 0 else f"{angle} further"
