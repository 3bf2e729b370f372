from pathlib import Path

from tests.rules.finding import find


def test_stretched_bolts_that_are_fitted_again(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  phaser:
    title: Phaser
    hours: 1
    takes: {gasket: 1}
    torque:
      - {bolts: Cover, steps: [10 N m]}
      - {bolts: Phaser, steps: [40 N m, -360 deg, 25 N m, 180 deg]}
parts:
  gasket: {title: Gasket, numbers: [{number: A, price: 1}]}
"""
    assert find(tmp_path, "angle-without-single-use", text) == [
        (
            10,
            59,
            (
                "'Phaser' ends in an angle, and this step takes no single-use part. Take new bolts, or say in "
                "the part why it is used once."
            ),
            "",
        ),
    ]


def test_new_bolts(tmp_path: Path) -> None:
    text = """\
engine: v8
title: V8
work:
  phaser:
    title: Phaser
    hours: 1
    takes: {bolt: 2}
    torque: [{bolts: Phaser, steps: [25 N m, 180 deg]}]
parts:
  bolt: {title: Bolt, single-use: Stretched., numbers: [{number: A, price: 1}]}
"""
    assert find(tmp_path, "angle-without-single-use", text) == []
