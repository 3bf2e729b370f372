"""A number and the unit that stands behind it, as people type them: '95', '14 psi', '1,5 bar', '-360 deg'."""

import math
import re
from dataclasses import dataclass

from diagtree.measure.trouble import Trouble, quote

LONGEST = 80  # characters of a number with its unit
_MINUS = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{NO-BREAK SPACE}": " "})
_NUMBER = re.compile(r"(?P<sign>[+-]?)\s*(?P<body>[0-9][0-9.,]*|[.,][0-9]+)(?P<power>[eE][+-]?[0-9]+)?")
_PLAIN = re.compile(r"[0-9]*(?:[.,][0-9]*)?")
_GROUPED = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A finite number as typed, and the unit behind it, '' where none was typed."""

    value: float
    unit: str
    decimals: int  # digits typed after the point, less the power of ten; at least 0


def parse_quantity(text: str) -> Quantity | Trouble:
    """Read a number with a point or a decimal comma, and whatever unit stands behind it.

    A trouble, never an exception: empty text, no number, NaN and infinities, more than one number, a comma that
    could group thousands ('1,500'), a number too large for a computer, a paste of more than `LONGEST` characters.
    """
    if len(text) > LONGEST:
        return Trouble(f"{len(text)} characters are too long for a number with its unit: {quote(text)}")
    text = text.translate(_MINUS).strip()
    if not text:
        return Trouble("Nothing was typed.")
    match = _NUMBER.match(text)
    if match is None:
        return Trouble(f"{quote(text)} does not start with a number.")
    unit = " ".join(text[match.end() :].split())
    if unit[:1].isdigit() or unit.startswith(("+", "-", ",")):
        return Trouble(f"{quote(text)} is more than one number. Type one, without spaces in it.")
    return _number(match, unit)


def _number(match: re.Match[str], unit: str) -> Quantity | Trouble:
    body = match["body"]
    if not _PLAIN.fullmatch(body):
        return Trouble(f"{quote(body)} has more than one point or comma. Type it with one decimal point at most.")
    if _GROUPED.fullmatch(body):
        return Trouble(_two_ways(match["sign"], body))
    digits = body.replace(",", ".")
    power = match["power"] or ""
    value = float(match["sign"] + digits + power)
    if not math.isfinite(value):
        return Trouble(f"{quote(match[0])} is too large a number.")
    behind = len(digits.partition(".")[2])
    # Adding 0.0 turns -0.0 into 0.0.
    return Quantity(value + 0.0, unit, max(0, behind - int(power[1:] or 0)))


def _two_ways(sign: str, body: str) -> str:
    whole, _, thousand = body.partition(",")
    decimal = f"{whole}.{thousand}".rstrip("0").rstrip(".")
    minus = "-" if sign == "-" else ""
    return f"{quote(minus + body)} can be read in two ways. Type {minus}{whole}{thousand} or {minus}{decimal}."
