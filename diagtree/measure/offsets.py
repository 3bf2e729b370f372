"""Camshaft offsets as typed: 'intake-1:-4,exhaust-1:-3', in crank degrees, positive = advanced."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeAlias

from diagtree.measure.quantities import parse_quantity
from diagtree.measure.trouble import Trouble, quote
from diagtree.measure.units import UnitTrouble, convert

Offsets: TypeAlias = tuple[tuple[str, float], ...]

LARGEST = 360.0  # crank degrees: further is the same place again, from the other side
LONGEST_UNCERTAINTY = 60  # characters
_LONGEST = 2_000  # characters of a typed list
_MOST_NAMED = 4  # camshafts in one message
_WITHIN = re.compile(r"\s*(?:\+-|\+/-|\N{PLUS-MINUS SIGN})(?P<within>[^,;]*)$")


def parse_offsets(text: str, cams: Sequence[str], known: Mapping[str, float] | None = None) -> Offsets | Trouble:
    """Read one offset for each camshaft.

    Args:
        text: `cam:degrees` pairs with commas between, in any order. The unit may stand behind the number.
        cams: the ids of the engine's camshafts.
        known: offsets from before, which stand where none is typed; at least one must be typed.

    Returns:
        (cam, crank degrees) for each camshaft, in the order of `cams`; or a trouble that names the first camshaft that
        is unknown, doubled, missing or without a number.
    """
    if len(text) > _LONGEST:
        return Trouble(f"{len(text)} characters are too many for a list of offsets: {quote(text)}")
    found: dict[str, float] = {}
    for piece in filter(None, map(str.strip, text.replace(";", ",").split(","))):
        pair = _pair(piece, cams)
        if isinstance(pair, Trouble):
            return pair
        cam, degrees = pair
        if cam in found:
            return Trouble(f"{quote(cam)} stands twice. Type one offset for each camshaft.")
        found[cam] = degrees
    before = known if known and found else {}
    found = {**before, **found}
    missing = [cam for cam in cams if cam not in found]
    if missing:
        return Trouble(f"No offset for {_listed(missing)}. Type all of them, such as {_example(cams)}.")
    return tuple((cam, found[cam]) for cam in cams)


def parse_measured(
    text: str, cams: Sequence[str], known: Mapping[str, float] | None = None
) -> tuple[Offsets, float | None] | Trouble:
    """`parse_offsets`, and the uncertainty where it stands behind them all: 'intake-1:-4,exhaust-1:-3 +-2.5'."""
    within = _WITHIN.search(text[-LONGEST_UNCERTAINTY:]) if len(text) <= _LONGEST else None
    head = text[: len(text) - len(within[0])] if within else text
    found = parse_offsets(head, cams, known)
    if isinstance(found, Trouble) or within is None:
        return found if isinstance(found, Trouble) else (found, None)
    uncertainty = parse_uncertainty(within["within"])
    return uncertainty if isinstance(uncertainty, Trouble) else (found, uncertainty)


def as_text(offsets: Offsets, uncertainty: float | None = None) -> str:
    """Offsets as `parse_measured` reads them, to the last digit."""
    pairs = ",".join(f"{cam}:{degrees!r}" for cam, degrees in offsets)
    return pairs if uncertainty is None else f"{pairs} +-{uncertainty!r}"


def parse_uncertainty(text: str) -> float | Trouble:
    """Read how sure an offset is: crank degrees, above 0, at most a turn. The unit may stand behind the number."""
    found = parse_quantity(text)
    if isinstance(found, Trouble):
        return Trouble(f"{found.message} Type the uncertainty in crank degrees, such as 2.")
    degrees = convert(found.value, found.unit, "deg") if found.unit else found.value
    if isinstance(degrees, UnitTrouble):
        return Trouble(f"{quote(found.unit)} is no angle. Type the uncertainty in crank degrees.")
    if not 0 < degrees <= LARGEST:
        return Trouble(f"{quote(text)} is no uncertainty. Type one above 0 and up to 360 crank degrees, such as 2.")
    return degrees


def _pair(piece: str, cams: Sequence[str]) -> tuple[str, float] | Trouble:
    name, colon, number = piece.replace("=", ":", 1).partition(":")
    cam = name.strip().lower()
    if not colon:
        return Trouble(f"{quote(piece)} is no offset. Type {_example(cams)}, with decimal points.")
    if cam not in cams:
        return Trouble(f"{quote(name.strip())} is no camshaft of this engine: it has {_listed(cams)}.")
    found = parse_quantity(number)
    if isinstance(found, Trouble):
        return Trouble(f"{quote(cam)}: {found.message} Type it as {quote(cam)[1:-1]}:-4.")
    degrees = convert(found.value, found.unit, "deg") if found.unit else found.value
    if isinstance(degrees, UnitTrouble):
        return Trouble(f"{quote(found.unit)} is no angle. Type the offset in crank degrees.")
    if abs(degrees) > LARGEST:
        return Trouble(f"{quote(piece)} is more than a turn. Type crank degrees from -360 to 360.")
    return cam, degrees


def _listed(cams: Sequence[str]) -> str:
    if not cams:
        return "none"
    more = f" and {len(cams) - _MOST_NAMED} more" if len(cams) > _MOST_NAMED else ""
    return ", ".join(quote(cam)[1:-1] for cam in cams[:_MOST_NAMED]) + more


def _example(cams: Sequence[str]) -> str:
    return ",".join(f"{quote(cam)[1:-1]}:-4" for cam in cams[:2]) or "no offsets"
