"""The PNG, opened by another library."""

import io

import pytest
from PIL import Image

from diagtree.draw import png
from diagtree.draw.picture import Picture


def test_it_opens_at_the_stated_resolution_and_is_not_blank(picture: Picture) -> None:
    image = Image.open(io.BytesIO(png.paint(picture, 72)))
    image.load()
    assert image.mode == "L"
    assert image.size == pytest.approx((picture.width, picture.height), abs=1.5)
    assert image.info["dpi"] == pytest.approx((72, 72), abs=0.1)
    dark = sum(image.histogram()[:128]) / (image.width * image.height)
    assert 0.005 < dark < 0.3


def test_every_box_has_ink_in_it(picture: Picture) -> None:
    image = Image.open(io.BytesIO(png.paint(picture, 72)))
    for box in picture.nodes:
        for word in box.words:
            area = word.extent
            crop = image.crop((int(area.left), int(area.top), int(area.right) + 1, int(area.bottom) + 1))
            low, _ = crop.getextrema()
            assert isinstance(low, (int, float))
            assert low < 150, word.text


def test_a_huge_page_is_rendered_at_fewer_dots(picture: Picture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(png, "_MOST_PIXELS", 200_000)
    image = Image.open(io.BytesIO(png.paint(picture)))
    assert image.width * image.height < 205_000


def test_two_runs_give_the_same_bytes(picture: Picture) -> None:
    assert png.paint(picture, 50) == png.paint(picture, 50)
