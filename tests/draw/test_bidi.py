"""Hebrew and Arabic on a drawing."""

import unicodedata
from collections.abc import Callable

from diagtree.draw import pdf, svg
from diagtree.draw.bidi import joined, turns, visual
from diagtree.draw.compose import compose
from diagtree.draw.font import face
from diagtree.draw.picture import Picture, overflow
from diagtree.model.library import Library
from diagtree.model.tree import Tree

HEBREW = "\u05e9\u05de\u05df"  # oil: shin, mem, final nun
ARABIC = "\u0632\u064a\u062a"  # oil: zain, yeh, teh


def test_text_of_left_to_right_letters_is_left_alone() -> None:
    for text in ("Low oil? 12 mm \u2192", "\u00d6l", "\u6cb9"):
        assert not turns(text)
        assert visual(joined(text)) == text


def test_hebrew_is_set_from_its_last_letter_and_numbers_keep_their_order() -> None:
    """UAX 9: letters run from the right, digits inside them from the left."""
    assert visual(HEBREW) == HEBREW[::-1]
    assert visual(f"{HEBREW} 12") == f"12 {HEBREW[::-1]}"
    assert visual(f"Low {HEBREW}") == f"Low {HEBREW[::-1]}"


def test_arabic_letters_take_the_forms_that_they_have_in_a_word() -> None:
    """Unicode, Arabic Presentation Forms-B: zain isolated (it joins nothing after it), yeh initial, teh final."""
    assert joined(ARABIC) == "\ufeaf\ufef3\ufe96"
    assert unicodedata.normalize("NFKC", joined(ARABIC)) == ARABIC
    assert all(ord(letter) in face().advances for letter in joined(ARABIC) + HEBREW)


def test_lam_and_alef_are_one_letter_and_a_word_of_its_own_is_not() -> None:
    """Unicode, Arabic Presentation Forms-B: FEFB is lam with alef isolated, FEFC final."""
    assert joined("\u0644\u0627") == "\ufefb"
    assert joined("\u0628\u0644\u0627") == "\ufe91\ufefc"
    for text in ("\u0627\u0644\u0644\u0647", "\u0628\u0644\u0627 \u0644\u0627"):
        assert all(ord(letter) in face().advances for letter in joined(text))
        assert unicodedata.normalize("NFKC", joined(text)) == text


def test_a_tree_in_hebrew_and_arabic_is_drawn(small: Callable[..., tuple[Library, Tree]]) -> None:
    picture = compose(*small(f"{HEBREW} {HEBREW}?", ARABIC, HEBREW, ARABIC, HEBREW), ())
    assert isinstance(picture, Picture)
    assert overflow(picture) == ()
    assert pdf.paint([picture]).startswith(b"%PDF-")
    text = svg.paint(picture).decode()
    assert HEBREW[::-1] in text
    assert "bidi-override" in text
    assert f"<title>{HEBREW} {HEBREW}?" in text
