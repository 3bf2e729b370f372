"""Python's cyclic collector, paused while much is made and nothing of it is thrown away in rings."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused() -> Iterator[None]:
    """Pause the cyclic collector.

    Looking through the nodes of a large library again and again is most of the time that reading would take; of the
    states of a long search half of it, of a drawing a twentieth. None of them hold rings.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
