"""Python's cyclic collector, paused while much is made and nothing of it is thrown away in rings."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused() -> Iterator[None]:
    """Pause the cyclic collector: looking through a drawing again and again is a twentieth of the time it takes."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
