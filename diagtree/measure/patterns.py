"""What pattern the camshafts' offsets make, how sure that is, and which camshaft to measure again.

A pattern says where the offsets come from; each offset is read with a standard uncertainty u = U / 2. A camshaft
without an offset has been summed out: the pattern is then judged by the others alone.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagtree.measure.chain import MOST_ELONGATION, degrees_late, degrees_per_tooth
from diagtree.measure.normal import Truncated, log_density, log_sum
from diagtree.model.check import OFFSET_ANSWERS
from diagtree.model.engine import Timing

CLEAR = 0.95  # the largest share from which a pattern is clear
SHIFT = 15.0  # crank degrees: standard deviation of a slipped ring, key or hub, and of a camshaft on its own
TEETH = (-2, -1, 1, 2)  # that a chain jumps
_FURTHEST = 1e100  # crank degrees: what lies further says no more, and its square would be endless
_SMALLEST = 1e-100  # crank degrees: a smaller uncertainty changes no digit, and its square would be 0

Offsets = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Pattern:
    """The shares of the patterns, and what follows from them."""

    shares: Mapping[str, float]  # by pattern, in the contract's order; each in [0, 1], sum 1

    @property
    def likeliest(self) -> str:
        """The pattern with the largest share; the first of equals."""
        return max(self.shares, key=lambda name: self.shares[name])

    @property
    def largest(self) -> float:
        """The largest share."""
        return max(self.shares.values())

    @property
    def clear(self) -> bool:
        """Whether one pattern holds 95 % of the weight."""
        return self.largest >= CLEAR

    @property
    def rival(self) -> str | None:
        """The pattern with the second largest share; None where there is but one."""
        rest = [name for name in self.shares if name != self.likeliest]
        return max(rest, key=lambda name: self.shares[name]) if rest else None


@dataclass(frozen=True, slots=True)
class Posterior:
    """Elongation (a fraction) if the chain is stretched: posterior mean and central 95 % interval."""

    estimate: float
    low: float
    high: float
    against_end: bool  # whether the offsets want all of what a chain is held to stretch by, or more


@dataclass(frozen=True, slots=True)
class Remeasure:
    """A camshaft to measure again, and what hangs on its reading."""

    cam: str
    moved: float  # share of the weight that lies elsewhere without this reading (total variation), in [0, 1]
    without: Pattern  # what the others say without it


def banks(timing: Timing) -> tuple[int, ...]:
    """The engine's banks, in the order of its camshafts."""
    return tuple(dict.fromkeys(cam.bank for cam in timing.cams.values()))


def offered(timing: Timing, listed: Iterable[str] = OFFSET_ANSWERS) -> tuple[str, ...]:
    """The patterns of these that the engine can show: with one bank there is no `one-bank`."""
    single = len(banks(timing)) < 2
    return tuple(name for name in listed if not (single and name == "one-bank"))


def log_likelihoods(timing: Timing, offsets: Offsets, uncertainty: float) -> dict[str, float]:
    """Logarithm of the marginal likelihood of the offsets under each pattern that the engine can show.

    Args:
        timing: the drive.
        offsets: crank degrees by camshaft, finite, positive = advanced; for some or all of the camshafts.
        uncertainty: expanded (k = 2), crank degrees, above 0.

    Returns:
        By pattern. -inf only past what a double holds; `mixed` is always finite.

    Raises:
        ValueError: an argument out of its range. Files and typed text are checked before: our bug.
    """
    if not (math.isfinite(uncertainty) and uncertainty > 0) or not all(map(math.isfinite, offsets.values())):
        message = f"no finite offsets with an uncertainty above 0: {dict(offsets)!r}, {uncertainty!r}"
        raise ValueError(message)
    u = max(uncertainty / 2, _SMALLEST)
    known = {cam: _held(offsets[cam]) for cam in timing.cams if cam in offsets}
    likelihoods: dict[str, Callable[[], float]] = {
        "none": lambda: _still(known.values(), u),
        "stretched": lambda: _stretched(timing, known, u),
        "all-together": lambda: _together(timing, list(known.values()), u),
        "one-bank": lambda: _one_bank(timing, known, u),
        "one-cam": lambda: _one_cam(timing, known, u),
        "mixed": lambda: _still(known.values(), math.hypot(u, SHIFT)),
    }
    return {name: likelihoods[name]() for name in offered(timing)}


def pattern(timing: Timing, offsets: Offsets, uncertainty: float, listed: Sequence[str] = OFFSET_ANSWERS) -> Pattern:
    """The share of each pattern that a check lists, each as likely as the others before: the p_i of the evidence.

    A listed pattern that the engine cannot show has the share 0. Arguments and errors else as `log_likelihoods`;
    `listed` must hold `mixed` (`vet` refuses a check without it), which no offsets rule out.
    """
    logs = log_likelihoods(timing, offsets, uncertainty)
    whole = log_sum(logs[name] for name in listed if name in logs)
    if whole == -math.inf:
        message = f"no pattern of {listed!r} is possible with these offsets"
        raise ValueError(message)
    weights = {name: math.exp(logs[name] - whole) if name in logs else 0.0 for name in listed}
    total = math.fsum(weights.values())
    return Pattern({name: weight / total for name, weight in weights.items()})


def posterior(timing: Timing, offsets: Offsets, uncertainty: float) -> Posterior:
    """Elongation under `stretched`, from at least one offset. Arguments and errors as `log_likelihoods`.

    Uniform before on [0, 0.02], so that it is a truncated normal afterwards.
    """
    log_likelihoods(timing, {}, uncertainty)  # for its range
    held = {cam: _held(offset) for cam, offset in offsets.items()}
    fitted = _fitted(timing, held, max(uncertainty / 2, _SMALLEST))
    return Posterior(
        estimate=fitted.mean(),
        low=fitted.quantile(0.025),
        high=fitted.quantile(0.975),
        against_end=fitted.centre >= MOST_ELONGATION,
    )


def measure_again(
    timing: Timing, offsets: Offsets, uncertainty: float, listed: Sequence[str] = OFFSET_ANSWERS
) -> Remeasure | None:
    """The camshaft whose reading blurs the pattern most; None without an offset.

    Each reading is left out in turn, as if it had not been taken. The one without which the others make the clearest
    pattern (the largest share of all) is the one to take again: either it was misread, or it alone is off. Ties: the
    first of the engine.
    """
    whole = pattern(timing, offsets, uncertainty, listed)
    found: Remeasure | None = None
    for cam in timing.cams:
        if cam not in offsets:
            continue
        rest = {name: offset for name, offset in offsets.items() if name != cam}
        without = pattern(timing, rest, uncertainty, listed)
        moved = sum(abs(whole.shares[name] - without.shares[name]) for name in whole.shares) / 2
        # Rounding must not choose between camshafts that weigh alike.
        if found is None or without.largest > found.without.largest + 1e-12:
            found = Remeasure(cam, moved, without)
    return found


def _held(offset: float) -> float:
    return max(-_FURTHEST, min(_FURTHEST, offset))


def _still(offsets: Iterable[float], deviation: float) -> float:
    """Each on its own around zero."""
    return math.fsum(log_density(offset, deviation) for offset in offsets)


def _fitted(timing: Timing, known: Offsets, u: float) -> Truncated:
    """Elongation given the offsets: the least-squares line through zero, cut to [0, 0.02]."""
    lates = {cam: degrees_late(timing, cam) for cam in known}
    # Scaled first: no square of a large offset or of a short span leaves the doubles.
    largest = max(lates.values())
    norm = math.fsum((late / largest) ** 2 for late in lates.values())
    centre = -math.fsum(late / largest * known[cam] for cam, late in lates.items()) / norm / largest
    return Truncated(centre, u / (largest * math.sqrt(norm)), 0.0, MOST_ELONGATION)


def _stretched(timing: Timing, known: Offsets, u: float) -> float:
    """Mean over e of the product of N(y_i; -g_i e, u^2).

    The product is a normal in e around its best fit: what the fit leaves, times how much of it lies in [0, 0.02].
    """
    if not known:
        return 0.0
    fitted = _fitted(timing, known, u)
    left = _still((offset + degrees_late(timing, cam) * fitted.centre for cam, offset in known.items()), u)
    width = math.log(math.tau) / 2 + math.log(fitted.deviation / MOST_ELONGATION)
    return left + width + fitted.log_share()


def _together(timing: Timing, known: Sequence[float], u: float) -> float:
    """Half on whole teeth, half on any common shift."""
    if not known:
        return 0.0
    tooth = degrees_per_tooth(timing.crank_teeth)
    jumped = log_sum(_still((offset - teeth * tooth for offset in known), u) for teeth in TEETH) - math.log(len(TEETH))
    return log_sum((jumped, _shifted(known, u))) - math.log(2)


def _shifted(known: Sequence[float], u: float) -> float:
    """One shift N(0, 15^2) for all: their mean about zero, and each about their mean."""
    many = len(known)
    mean = math.fsum(known) / many
    # The change of variables to mean and deviations has the determinant 1 / sqrt(n), and n - 1 free deviations.
    apart = math.fsum(log_density(offset - mean, u) for offset in known) - log_density(0.0, u) - math.log(many) / 2
    return apart + log_density(mean, math.hypot(u / math.sqrt(many), SHIFT))


def _one_bank(timing: Timing, known: Offsets, u: float) -> float:
    """The same for one bank, each equally, the others still."""
    found = banks(timing)
    return log_sum(_bank(timing, bank, known, u) for bank in found) - math.log(len(found))


def _bank(timing: Timing, bank: int, known: Offsets, u: float) -> float:
    moved = [offset for cam, offset in known.items() if timing.cams[cam].bank == bank]
    others = [offset for cam, offset in known.items() if timing.cams[cam].bank != bank]
    return _together(timing, moved, u) + _still(others, u)


def _one_cam(timing: Timing, known: Offsets, u: float) -> float:
    """One camshaft, each equally, anywhere; the others still."""
    wide = math.hypot(u, SHIFT)
    moved = (
        math.fsum(log_density(offset, wide if cam == one else u) for cam, offset in known.items())
        for one in timing.cams
    )
    return log_sum(moved) - math.log(len(timing.cams))
