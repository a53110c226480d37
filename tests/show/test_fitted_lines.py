"""Lines that are fitted into the room that they have on a picture."""

from zoning.show.furniture import Page


class Renderer:
    """Every letter is half as wide as high; counts the letters that it was asked to measure."""

    def __init__(self):
        self.letters = 0

    def get_text_width_height_descent(self, text, font, is_formula):
        self.letters += len(text)
        return 0.5 * font.get_size() * len(text), font.get_size(), 0.0


def test_a_name_of_ten_thousand_letters_is_cut_to_its_room_without_measuring_them_again_and_again():
    renderer = Renderer()
    page = Page(axes=None, renderer=renderer, dpi=72.0)
    text, size = page.fitted("W" * 10_000, 9.0, 3.0)
    # by hand: 3 in x 72 = 216 points; letters of 0.75 x 9 = 6.75 points are 3.375 wide, and 64 of them fit
    assert size == 6.75
    assert text.endswith("W...")
    assert 55 <= len(text) <= 64
    assert renderer.letters < 50_000


def test_a_line_that_fits_stays():
    assert Page(axes=None, renderer=Renderer(), dpi=72.0).fitted("Home", 9.0, 3.0) == ("Home", 9.0)
