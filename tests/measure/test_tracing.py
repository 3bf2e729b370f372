"""Camshaft offsets from traces of engines whose true offsets are known."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagtree.measure.traces import Trace
from diagtree.measure.tracing import Traced, keeps_pattern, offsets_of, pattern_of
from diagtree.measure.trouble import Trouble
from diagtree.model.engine import Cam, Sensor, Timing
from tests.measure.engines import GOOD, Engine, trace

CAMS = {name: Cam(name, 1, 310.0) for name in GOOD}
WHEELS = {"crank": Sensor(60, 2), "intake-1": Sensor(4), "exhaust-1": Sensor(4)}
BARE = Timing(8.0, 22, 44, CAMS, 156, WHEELS)
# A drive whose `sensors` keep the good engine's rising edges.
KEPT = Timing(
    8.0,
    22,
    44,
    CAMS,
    156,
    {"crank": Sensor(60, 2), **{name: Sensor(4, edges=tuple(ways["rising"])) for name, ways in GOOD.items()}},
)
OFFSETS = {"intake-1": -4.2, "exhaust-1": 16.4}


def lone(sensor: Sensor) -> Timing:
    """A drive with one camshaft."""
    return Timing(8.0, 22, 44, {"intake-1": CAMS["intake-1"]}, None, {"crank": Sensor(60, 2), "intake-1": sensor})


def seeded(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def found(timing: Timing, made: Trace, good: Trace | None = None) -> Traced:
    read = offsets_of(timing, made, good)
    assert isinstance(read, Traced), read.message
    return read


def off(read: Traced, true: dict[str, float]) -> dict[str, float]:
    """How far each offset is from the truth, in its own uncertainties."""
    return {name: (place.offset - true[name]) / place.uncertainty for name, place in read.places.items()}


def covered(runs: int, seed: int, *, kept: bool, **how: Any) -> tuple[int, int]:
    """How many intervals hold the true offset, and how many there are."""
    rng, inside, all_of_them = seeded(seed), 0, 0
    for _ in range(runs):
        true = {name: float(rng.uniform(-40.0, 40.0)) for name in GOOD}
        made = trace(Engine(true, **how), rng)
        good = None if kept else trace(Engine(**how), rng)
        for far in off(found(KEPT if kept else BARE, made, good), true).values():
            inside += abs(far) <= 1.0
            all_of_them += 1
    return inside, all_of_them


def test_of_two_thousand_traces_95_in_100_intervals_hold_the_true_offset() -> None:
    """Jitter of 0.3 crank degrees, 2 % drift of speed, one dropped edge in fifty; the good engine known exactly."""
    inside, all_of_them = covered(2000, 7, kept=True, turns=9.3, jitter=0.3)
    assert all_of_them == 4000
    assert 0.93 <= inside / all_of_them <= 0.97


def test_the_scatter_of_the_good_trace_counts_too() -> None:
    """Two traces that scatter alike: one and the same offset is off by the root of two more than either says."""
    inside, all_of_them = covered(300, 8, kept=False, turns=9.3, jitter=0.3)
    assert 0.93 <= inside / all_of_them <= 0.97


@pytest.mark.parametrize(
    "how",
    [
        {"ripple": 0.04},  # the pulse of each cylinder
        {"spurious": 0.02},
        {"jitter": 0.6},
        {"dropped": 0.1},
        {"drift": -0.08},
        {"turns": 6.5},
        {"turns": 60.0, "rpm": 2500.0},
        {"dropped": 0.04, "spurious": 0.02, "ripple": 0.03, "jitter": 0.4},
    ],
    ids=str,
)
def test_a_rough_trace_is_read_all_the_same(how: dict[str, Any]) -> None:
    rng = seeded(3)
    for _ in range(12):
        read = found(KEPT, trace(Engine(OFFSETS, **how), rng))
        assert max(map(abs, off(read, OFFSETS).values())) < 2.2
        assert read.uncertainty < 0.8


@pytest.mark.parametrize(("teeth", "missing"), [(36, 1), (60, 2), (30, 1), (24, 2), (60, 1), (120, 2)])
def test_other_crank_wheels(teeth: int, missing: int) -> None:
    wheels = {**KEPT.sensors, "crank": Sensor(teeth, missing)}
    timing = Timing(8.0, 22, 44, CAMS, 156, wheels)
    read = found(timing, trace(Engine(OFFSETS, teeth=teeth, missing=missing), seeded()))
    assert max(map(abs, off(read, OFFSETS).values())) < 2.0


def test_a_trace_without_any_scatter_gives_the_offset_itself() -> None:
    read = found(KEPT, trace(Engine(OFFSETS, jitter=0.0, dropped=0.0), seeded()))
    assert read.offsets == pytest.approx(OFFSETS, abs=1e-4)
    assert read.uncertainty >= 0.001


def test_a_wheel_that_looks_alike_from_every_tooth_gives_the_smallest_offset() -> None:
    """Four even teeth: an offset of 170 degrees late cannot be told from one of 10 early."""
    even = {"intake-1": {"rising": (20.0, 200.0, 380.0, 560.0)}}
    timing = lone(Sensor(4, edges=(20.0, 200.0, 380.0, 560.0)))
    read = found(timing, trace(Engine({"intake-1": -170.0}, edges=even), seeded()))  # type: ignore[arg-type]
    assert read.offsets["intake-1"] == pytest.approx(10.0, abs=0.5)


# Which edge


def swapped(made: Trace, *channels: str) -> Trace:
    """The trace with these signals upside down."""
    other = {"rising": "falling", "falling": "rising", "": ""}
    turned = {
        name: {other[way]: times for way, times in ways.items()} if name in channels else ways
        for name, ways in made.channels.items()
    }
    return Trace(turned)  # type: ignore[arg-type]


def test_with_both_edges_a_crank_signal_upside_down_changes_nothing() -> None:
    rng = seeded(5)
    good, made = (trace(Engine(one), rng, ("rising", "falling")) for one in ({}, OFFSETS))
    right, turned = found(BARE, made, good), found(BARE, swapped(made, "crank"), good)
    assert right.edge == "leading"
    assert turned.offsets == right.offsets
    assert max(map(abs, off(right, OFFSETS).values())) < 2.0
    assert right.doubts == ()


def test_with_both_edges_a_camshaft_signal_upside_down_is_seen_by_its_teeth() -> None:
    rng = seeded(6)
    good, made = (trace(Engine(one), rng, ("rising", "falling")) for one in ({}, OFFSETS))
    assert found(BARE, swapped(made, "intake-1"), good).offsets == found(BARE, made, good).offsets


def test_one_edge_of_the_crank_read_at_its_other_side_is_named_as_a_cause() -> None:
    """All alike by the width of a tooth: 0.45 of 6 degrees."""
    rng = seeded(9)
    good, made = trace(Engine(), rng), trace(Engine(), rng, ("rising", "falling"))
    channels = {name: {"": ways["falling" if name == "crank" else "rising"]} for name, ways in made.channels.items()}
    read = found(BARE, Trace(channels), good)  # type: ignore[arg-type]
    assert list(read.offsets.values()) == pytest.approx([2.7, 2.7], abs=0.3)
    assert read.doubts[0].startswith("All camshafts are off alike by about +2.7: the crank's sensor read at the other")


def test_one_edge_of_the_crank_always_carries_its_doubt() -> None:
    assert "Only one edge of the crank's teeth is known." in found(KEPT, trace(Engine(OFFSETS), seeded())).doubts[0]


def test_edges_of_the_other_side_of_a_camshaft_s_teeth_are_told_by_their_places() -> None:
    """The good trace has both edges, the other one only falling ones and does not say so."""
    rng = seeded(11)
    good, made = trace(Engine(), rng, ("rising", "falling")), trace(Engine(OFFSETS), rng, ("rising", "falling"))
    channels = {"crank": made.channels["crank"], **{name: {"": made.channels[name]["falling"]} for name in GOOD}}
    read = found(BARE, Trace(channels), good)  # type: ignore[arg-type]
    assert max(map(abs, off(read, OFFSETS).values())) < 2.0


def test_edges_that_may_be_either_side_of_even_teeth_are_named() -> None:
    even = {"intake-1": {"rising": (20.0, 200.0, 380.0, 560.0), "falling": (110.0, 290.0, 470.0, 650.0)}}
    timing = lone(Sensor(4))
    rng = seeded(12)
    good, made = (trace(Engine(one, edges=even), rng, ("rising", "falling")) for one in ({}, {"intake-1": 3.0}))  # type: ignore[arg-type]
    read = found(timing, swapped(made, "intake-1"), good)
    assert read.offsets["intake-1"] == pytest.approx(3.0, abs=0.3)
    assert read.doubts[0].startswith("intake-1: taken at the other side of its teeth the offset would be -86.9.")


@pytest.mark.parametrize(
    ("mine", "theirs", "sentence"),
    [
        (("rising",), ("falling",), "The trace has rising edges of the crank, the good one falling ones."),
        (None, ("rising", "falling"), "The trace does not tell at which edge of the crank's teeth it was taken"),
        (("rising", "falling"), None, "The good trace does not tell at which edge of the crank's teeth"),
    ],
)
def test_edges_that_may_not_be_the_same_are_not_compared(
    mine: tuple[str, ...] | None, theirs: tuple[str, ...] | None, sentence: str
) -> None:
    rng = seeded()
    made, good = (trace(Engine(), rng, one or ("rising",), said=one is not None) for one in (mine, theirs))  # type: ignore[arg-type]
    read = offsets_of(BARE, made, good)
    assert isinstance(read, Trouble)
    assert read.message.startswith(sentence)


# The pattern that is kept


def test_a_pattern_kept_in_the_library_gives_what_the_good_trace_gives() -> None:
    rng = seeded(13)
    good, made = (trace(Engine(one), rng, ("rising", "falling")) for one in ({}, OFFSETS))
    kept = pattern_of(BARE, good)
    assert not isinstance(kept, Trouble)
    wheels = {"crank": Sensor(60, 2, edge=kept.edge)}
    for name, one in kept.cams.items():
        edges = {way: tuple(float(edge) for edge in places) for way, places in one.edges.items()}
        wheels[name] = Sensor(4, rises=edges["rising"], falls=edges["falling"], uncertainty=one.uncertainty)
    timing = Timing(8.0, 22, 44, CAMS, 156, wheels)
    assert keeps_pattern(timing)
    assert not keeps_pattern(BARE)
    by_pattern, by_trace = found(timing, made), found(BARE, made, good)
    assert by_pattern.offsets == pytest.approx(by_trace.offsets, abs=1e-9)
    assert by_pattern.uncertainty == pytest.approx(by_trace.uncertainty, rel=0.1)


# What cannot be used


def refused(timing: Timing, made: Trace, good: Trace | None = None) -> str:
    read = offsets_of(timing, made, good)
    assert isinstance(read, Trouble)
    return read.message


def wheel(**sensors: Sensor) -> Timing:
    others = {name.replace("_", "-"): one for name, one in sensors.items()}
    return Timing(8.0, 22, 44, CAMS, 156, {**KEPT.sensors, **others})


def test_other_wheels_than_the_stated_ones_are_told() -> None:
    made = trace(Engine(teeth=36, missing=1), seeded())
    assert "they look like 36 with 1 missing" in refused(KEPT, made)
    assert "they look like 60 with 2 missing" in refused(wheel(crank=Sensor(60, 1)), trace(Engine(), seeded()))
    six = wheel(intake_1=Sensor(6, edges=(1.0, 2.0, 3.0, 4.0, 5.0, 6.0)))
    assert "'intake-1' shows 4 edges in every turn of the camshaft, and `sensors` has 6." in refused(
        six, trace(Engine(), seeded())
    )


def test_both_edges_without_their_names_are_told() -> None:
    made = trace(Engine(), seeded(), ("rising", "falling"))
    mixed = {name: {"": np.sort(np.concatenate(list(ways.values())))} for name, ways in made.channels.items()}
    lone = {"crank": {"": made.channels["crank"]["rising"]}, "intake-1": mixed["intake-1"]}
    assert "Both edges of each tooth stand there: say which in a column `edge`" in refused(KEPT, Trace(lone))  # type: ignore[arg-type]
    assert "say which in a column `edge`" in refused(KEPT, Trace(mixed))  # type: ignore[arg-type]


def test_an_engine_that_does_not_run_steadily_is_refused_with_its_speeds() -> None:
    message = refused(KEPT, trace(Engine(drift=0.2), seeded()))
    assert "The engine's speed changes by 1" in message
    assert "Up to 10 % will do: record it at a steady speed." in message


def test_too_little_is_refused() -> None:
    assert "The crank makes 3 whole turns: too few." in refused(KEPT, trace(Engine(turns=4.2), seeded()))
    assert "edges: too few. Record at least 4 whole turns" in refused(KEPT, trace(Engine(turns=1.0), seeded()))
    short = trace(Engine(), seeded())
    cut = {**short.channels, "intake-1": {"": short.channels["intake-1"][""][:3]}}
    assert "'intake-1' has 3 edges while the crank turns: too few." in refused(KEPT, Trace(cut))  # type: ignore[arg-type]


def test_what_is_missing_is_named() -> None:
    made = trace(Engine(), seeded())
    crank = Trace({"crank": made.channels["crank"]})
    assert "The trace has no camshaft's channel" in refused(KEPT, crank)
    assert refused(KEPT, Trace({"cam": made.channels["crank"]})) == (
        "The trace has no channel `crank`. Its channels are: 'cam'."
    ).replace("'cam'", "cam")
    assert "`sensors` has no trigger wheel for exhaust-1" in refused(
        Timing(8.0, 22, 44, CAMS, 156, {"crank": Sensor(60, 2), "intake-1": Sensor(4)}), made
    )
    assert "has no `sensors: {crank: ...}`" in refused(Timing(8.0, 22, 44, CAMS), made)
    assert "No good engine is known to compare with" in refused(BARE, made)
    assert "no missing teeth" in refused(wheel(crank=Sensor(60)), made)


def test_another_engine_s_good_trace_is_refused() -> None:
    other = {name: {"rising": (10.0, 90.0, 300.0, 500.0)} for name in GOOD}
    rng = seeded()
    message = refused(BARE, trace(Engine(), rng), trace(Engine(edges=other), rng))  # type: ignore[arg-type]
    assert "The edges of 'intake-1' do not stand as the good ones do: they differ by" in message


def test_channels_that_are_not_read_are_named() -> None:
    made = trace(Engine(OFFSETS), seeded())
    more = Trace(
        {"crank": made.channels["crank"], "intake-1": made.channels["intake-1"], "knock": {"": np.arange(3.0)}}
    )
    assert found(KEPT, more).doubts[:2] == ("The trace does not show exhaust-1.", "Not used: knock.")


ANY = st.lists(st.floats(0, 10, allow_nan=False), max_size=200).map(lambda times: np.unique(np.array(times)))


@settings(max_examples=150, deadline=None)
@given(ANY, ANY, st.integers(0, 2**16), st.floats(0, 1), st.floats(0, 0.6))
def test_any_edges_are_offsets_or_a_sentence(
    one: np.ndarray, two: np.ndarray, seed: int, lost: float, more: float
) -> None:
    made = trace(Engine(turns=5.5, dropped=lost, spurious=more), seeded(seed))
    for crank in (one, made.channels["crank"][""]):
        read = offsets_of(KEPT, Trace({"crank": {"": crank}, "intake-1": {"": two}, "exhaust-1": {"": one}}))
        again = offsets_of(KEPT, Trace({**made.channels, "crank": {"": crank}}))
        for result in (read, again):
            if isinstance(result, Trouble):
                assert result.message.endswith(".")
            else:
                assert all(np.isfinite(place.offset) and place.uncertainty > 0 for place in result.places.values())
