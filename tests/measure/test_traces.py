"""Traces as CSV files hold them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.measure.traces import LARGEST, Trace, parse_trace
from diagtree.measure.trouble import Trouble
from tests.measure.engines import Engine, as_csv, trace


def read(text: str) -> dict[str, dict[str, list[float]]]:
    found = parse_trace(text)
    assert isinstance(found, Trace), found.message
    return {name: {way: times.tolist() for way, times in ways.items()} for name, ways in found.channels.items()}


def refused(text: str) -> str:
    found = parse_trace(text)
    assert isinstance(found, Trouble)
    assert found.message.isprintable()
    return found.message


def test_times_and_channels() -> None:
    assert read("time,channel\n0.1,crank\n0.2,Intake-1\n\n0.3,crank\n") == {
        "crank": {"": [0.1, 0.3]},
        "intake-1": {"": [0.2]},
    }


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffchannel;time (ms);edge;volts\ncrank;1,5;up;3\ncrank;2;down;3\n",
        'Time [ms]\tChannel\tEdge\n1.5\tcrank\trising\n2\t"crank"\tfalling\n',
        "time(ms),channel,edge\r\n1.5,crank,1\r\n2,crank,0\r\n",
    ],
)
def test_other_marks_units_and_orders(text: str) -> None:
    assert read(text) == {"crank": {"rising": [0.0015], "falling": [0.002]}}


def test_two_edges_at_one_moment_are_one() -> None:
    assert read("time,channel\n0.1,crank\n0.1,crank\n") == {"crank": {"": [0.1]}}


def test_a_written_trace_is_read_as_it_was() -> None:
    made = trace(Engine(turns=2.0), np.random.default_rng(1), ("rising", "falling"))
    found = parse_trace(as_csv(made))
    assert isinstance(found, Trace)
    for name, ways in made.channels.items():
        for way, times in ways.items():
            assert found.channels[name][way] == pytest.approx(times, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The trace is empty."),
        (" \n\n", "The trace is empty."),
        ("time,channel\n", "The trace has no edges."),
        ("a,b\n1,2\n", "The trace's first line has the columns a, b."),
        ("0.1,crank\n0.2,crank\n", "The trace's first line has the columns 0.1, crank."),
        ("time (h),channel\n1,crank\n", "'h' is no unit of time known here."),
        ("time,channel\n0.1\n", "Line 2 of the trace: it has 1 columns, and 2 are needed."),
        ("time,channel\nnan,crank\n", "Line 2 of the trace: 'nan' is no time."),
        ("time,channel\ninf,crank\n", "Line 2 of the trace: 'inf' is no time."),
        ("time,channel\n1_0,crank\n", "Line 2 of the trace: '1_0' is no time."),
        ("time,channel\n\n0.1,crank\nsoon,crank\n", "Line 4 of the trace: 'soon' is no time."),
        ("time,channel\n0.1,\n", "Line 2 of the trace: it names no channel."),
        ("time,channel,edge\n0.1,crank,high\n", "Line 2 of the trace: 'high' is no edge."),
        ("time,channel\n0.2,crank\n0.1,cam\n0.1,crank\n", "Line 4 of the trace: the time of 'crank' goes back."),
        ("time,channel\n" + "0.1,crank\n" * (LARGEST // 10), "The trace is longer than 8 million characters."),
    ],
)
def test_what_cannot_be_used_is_named_with_its_line(text: str, said: str) -> None:
    assert refused(text).startswith(said)


@given(st.text(max_size=200) | st.text('0123456789.,;\n"time,channel', max_size=200).map("time,channel\n".__add__))
def test_any_text_is_a_trace_or_a_sentence(text: str) -> None:
    found = parse_trace(text)
    if isinstance(found, Trace):
        assert all(len(times) for ways in found.channels.values() for times in ways.values())
    else:
        assert found.message.endswith(".")
        assert found.message.isprintable()
