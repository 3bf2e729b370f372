"""The geometry of a chain drive: pitch circles, teeth and degrees, elongation and how late it turns a camshaft."""

import math
from dataclasses import dataclass

from diagtree.model.engine import Timing

MOST_ELONGATION = 0.02  # a chain that is longer by more has left its guides long before
# Common practice, no source: timing drives are often condemned near this.
CONDEMNED = 0.01


@dataclass(frozen=True, slots=True)
class Elongation:
    """How much longer a chain is than new, as a fraction of its length: 0.01 is 1 %."""

    estimate: float
    uncertainty: float  # expanded, k = 2


def pitch_diameter(pitch: float, teeth: int) -> float:
    """Diameter of the circle on which a sprocket carries the chain's joints, in the unit of the pitch.

    Args:
        pitch: of the chain, above 0.
        teeth: at least 3.

    Raises:
        ValueError: an argument out of its range. Files are checked before: our bug.

    Source: ISO 606, ASME B29.1: pitch / sin(180 deg / teeth). The same for inverted-tooth chain (ASME B29.2M).
    """
    if not (math.isfinite(pitch) and pitch > 0 and teeth >= 3):
        message = f"no sprocket of {teeth!r} teeth for a chain of pitch {pitch!r}"
        raise ValueError(message)
    return pitch / math.sin(math.pi / teeth)


def degrees_per_tooth(crank_teeth: int) -> float:
    """Crank degrees of one tooth at the crank sprocket."""
    return 360 / crank_teeth


def realign_turns(links: int, crank_teeth: int) -> int:
    """After how many turns of the crank marked links meet their sprocket marks again: always an even number.

    The camshafts must come round too, so that the chain has moved on by whole pairs of crank turns.
    """
    return math.lcm(links, 2 * crank_teeth) // crank_teeth


def degrees_late(timing: Timing, cam: str) -> float:
    """Crank degrees by which a camshaft runs late for each unit of elongation: `degrees_late(...) * 0.01` at 1 %.

    The tight side grows by e * span, which turns the camshaft by e * span / radius and the crank by twice that.
    """
    radius = pitch_diameter(timing.pitch, timing.cam_teeth) / 2
    return 2 * math.degrees(timing.cams[cam].span / radius)


def offset_of(timing: Timing, cam: str, elongation: float) -> float:
    """The offset that an elongation (a fraction) gives a camshaft: crank degrees, negative = late."""
    return 0.0 - degrees_late(timing, cam) * elongation  # not -0.0


def elongation_of(timing: Timing, cam: str, offset: float, uncertainty: float) -> Elongation:
    """The elongation that alone would give a camshaft this offset; below 0 where it runs early.

    Args:
        timing: the drive.
        cam: its id.
        offset: crank degrees, positive = advanced.
        uncertainty: of the offset, expanded (k = 2), crank degrees. That of the geometry is not in it.
    """
    late = degrees_late(timing, cam)
    return Elongation(0.0 - offset / late, uncertainty / late)


def teeth_off(timing: Timing, offset: float) -> float:
    """An offset in teeth of the crank sprocket."""
    return offset / degrees_per_tooth(timing.crank_teeth)
