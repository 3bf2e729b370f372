from pathlib import Path

from tests.rules.finding import find


def test_not_twice_the_crank_sprocket_s(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
timing: {pitch: 8, crank-teeth: 22, cam-teeth: 42, cams: {intake-1: {bank: 1, span: 310}}}
"""
    assert find(tmp_path, "wrong-cam-teeth", text) == [
        (
            3,
            48,
            "42 teeth are not twice the crank sprocket's 22. Write 44, or correct `crank-teeth`.",
            "",
        ),
    ]


def test_twice_the_crank_sprocket_s(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
timing: {pitch: 8, crank-teeth: 22, cam-teeth: 44, cams: {intake-1: {bank: 1, span: 310}}}
"""
    assert find(tmp_path, "wrong-cam-teeth", text) == []
