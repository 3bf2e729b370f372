"""Chain drives for tests."""

from hypothesis import strategies as st

from diagtree.model.engine import Cam, Timing


def drive(*cams: tuple[str, int, float], crank_teeth: int = 22, links: int | None = 156) -> Timing:
    """A drive of 8 mm pitch; each camshaft as (id, bank, span in mm)."""
    return Timing(8.0, crank_teeth, 2 * crank_teeth, {cam[0]: Cam(*cam) for cam in cams}, links)


PAIR = drive(("intake-1", 1, 310.0), ("exhaust-1", 1, 310.0))
VEE = drive(("intake-1", 1, 310.0), ("exhaust-1", 1, 395.0), ("intake-2", 2, 326.0), ("exhaust-2", 2, 411.0))


@st.composite
def drives(draw: st.DrawFn) -> Timing:
    """One to four camshafts on one or two banks."""
    many = draw(st.integers(1, 4))
    cams = [(f"cam-{at}", draw(st.integers(1, 2)), draw(st.floats(100, 900))) for at in range(many)]
    return drive(*cams, crank_teeth=draw(st.integers(17, 30)))
