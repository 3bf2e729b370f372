"""Figures of options as typed: read, or refused in a sentence that says what is wanted."""

from argparse import ArgumentTypeError
from collections.abc import Callable
from math import nan


def whole(least: int, most: int) -> Callable[[str], int]:
    """A reader of whole numbers from `least` to `most`."""

    def read(text: str) -> int:
        plain = text.strip()
        # No number that is allowed has more digits; a longer one would take long to read.
        value = int(plain) if plain.isascii() and plain.isdecimal() and len(plain) <= len(str(most)) else least - 1
        if not least <= value <= most:
            message = f"'{text}' is no whole number from {least} to {most}"
            raise ArgumentTypeError(message)
        return value

    return read


def above_zero(most: float, example: str) -> Callable[[str], float]:
    """A reader of numbers above 0, to `most`. `example`: one that fits, as it may be typed."""

    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = nan
        if not 0 < value <= most:
            message = f"'{text}' is no number above 0, to {most:.0f}: write one such as {example}"
            raise ArgumentTypeError(message)
        return value

    return read
