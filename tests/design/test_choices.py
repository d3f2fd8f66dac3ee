"""What a maker may choose, what is refused, and what each answer moves."""

import pytest

from pixel2make.design import choice_keys, dimension
from pixel2make.errors import DesignError
from pixel2make.kinds.book.build import BookBuild
from pixel2make.reading.model import Proportions, Rounding
from tests.design import catalogue

KIND = BookBuild()


def lengths(**choices):
    design = dimension(catalogue.furnished(), KIND, size_mm=300, choices=choices)
    return {d.name: d.value_mm for d in design.dimensions}


def test_every_default_is_an_option_and_keys_are_unique():
    for make in (catalogue.plain, catalogue.front, catalogue.furnished):
        keys = choice_keys(make(), KIND)
        assert all(key.default in key.options for key in keys)
        assert len({key.key for key in keys}) == len(keys)


def test_what_was_taken_is_read_back_as_the_same_answer():
    """A plan holds the taken answers as text; built from them the book is the same."""
    first = dimension(
        catalogue.furnished(), KIND, size_mm=300, choices={"joint_gap": 7.25, "corner_radius": "8 mm"}
    )
    again = dimension(
        catalogue.furnished(),
        KIND,
        size_mm=300,
        choices={choice.key: choice.taken for choice in first.choices},
    )
    assert again.dimensions == first.dimensions
    assert again.choices == first.choices


def test_a_number_is_read_bare_or_with_its_unit_and_stands_with_it_in_a_plan():
    for given in (90, 90.0, "90", "90 g/m2", "90g/m2"):
        design = dimension(catalogue.furnished(), KIND, size_mm=300, choices={"grammage": given})
        choice = next(choice for choice in design.choices if choice.key == "grammage")
        assert choice.taken == "90 g/m2"
        assert "a number, such as 100 g/m2" in choice.options
    again = dimension(catalogue.furnished(), KIND, size_mm=300, choices={"grammage": choice.taken})
    assert again.dimensions == design.dimensions


def test_every_shown_effect_is_what_the_option_does():
    design = dimension(catalogue.furnished(), KIND, size_mm=300)
    now = {d.name: d.value_mm for d in design.dimensions}
    effects = [(choice.key, *effect) for choice in design.choices for effect in choice.effect_mm]
    assert effects
    for key, option, name, change in effects:
        # A dimension that an answer does away with, or brings, counts as nothing.
        assert lengths(**{key: option}).get(name, 0) - now.get(name, 0) == pytest.approx(change)


def test_three_shop_rules_for_the_joint():
    """Common practice: one and a half board thicknesses; two; a quarter inch. For a board of 2.5 mm 3.75,
    5 and 6.35 mm; and this file's middle way for cloth, 3 mm and two boards, 8 mm."""
    gaps = {
        rule: lengths(joint_gap=rule, covering="cloth")["joint_gap"]
        for rule in ("rule_a", "rule_b", "rule_c", "usual")
    }
    assert gaps == pytest.approx({"rule_a": 3.75, "rule_b": 5.0, "rule_c": 6.35, "usual": 8.0})


def test_three_spine_pieces_differ_by_a_board_each():
    """Common practice: sewn spine and two, one or no board thicknesses."""
    widths = [lengths(spine_piece=word)["spine_piece_width"] for word in ("stiff", "narrow", "soft")]
    assert widths[0] - widths[1] == pytest.approx(2.5)
    assert widths[1] - widths[2] == pytest.approx(2.5)


def test_a_length_is_taken_as_the_makers():
    design = dimension(
        catalogue.plain(), KIND, size_mm=300, choices={"corner_radius": "8mm", "square": "1/4 in"}
    )
    assert design.dimension("corner_radius").value_mm == 8.0
    assert design.dimension("square").value_mm == pytest.approx(25.4 / 4)
    assert design.dimension("square").origin == "maker"


@pytest.mark.parametrize(
    ("choices", "message"),
    [
        (
            {"joint": "rule_a"},
            "no choice 'joint'; choices are proportions, thickness, structure, lacing, covering, covered",
        ),
        ({"joint_gap": "rule_d"}, "'rule_d' is none of usual, rule_a, rule_b, rule_c"),
        ({"joint_gap": "7"}, "joint_gap: '7' is none of"),
        ({"covering": 3.0}, "3.0 is none of leather, cloth"),
        ({"proportions": "cabinet"}, "'cabinet' is none of as_drawn"),
        ({"square": 0.0}, "from 0.05 to 3000 mm, got 0 mm"),
        ({"square": float("nan")}, "got nan mm"),
        ({"square": 160.0}, "square of 160.0 mm leaves a leaf height of -20.0 mm"),
        ({"joint_gap": 500.0}, "joint gap of 500.0 mm leaves a board width"),
        ({"corner_radius": 140.0}, "does not fit on the board; choose at most 94"),
        ({"grammage": "heavy"}, "'heavy' is none of usual and no number, such as 100 g/m2"),
        ({"grammage": 1000.0}, "choice grammage: 40 to 350 g/m2 would do, got 1000"),
        ({"grammage": "90mm"}, "'90mm' is none of usual"),
        ({"bulk": float("nan")}, "0.7 to 2.2 cm3/g would do, got nan"),
        ({"structure": "spiral"}, "'spiral' is none of case, laced"),
        ({"emblem": "bronze"}, "'bronze' is none of by_color, gilded, painted"),
    ],
)
def test_an_answer_that_will_not_do_is_refused_with_those_that_would(choices, message):
    with pytest.raises(DesignError, match=message) as caught:
        dimension(catalogue.plain(), KIND, size_mm=300, choices=choices)
    assert "\n" not in str(caught.value)


def test_answers_that_another_reading_of_the_sprite_left_behind_do_no_harm():
    """A maker who takes the emblem for a clasp leaves its line in the plan; the same for a rounding."""
    choices = {"emblem": "gilded", "corner_radius": "drawn", "square": "drawn", "thickness": "usual"}
    bare = catalogue.book()
    design = dimension(bare, KIND, size_mm=300, choices=choices)
    assert design.dimensions == dimension(bare, KIND, size_mm=300).dimensions
    assert "emblem" not in {choice.key for choice in design.choices}


def test_a_drawn_square_may_be_taken():
    reading = catalogue.book(square=Rounding(0.5, 0.2, 1.0, "half a pixel"))
    design = dimension(reading, KIND, size_mm=300, choices={"square": "drawn"})
    assert design.dimension("square").value_mm == pytest.approx(5.0)
    assert design.dimension("square").origin == "sprite"


def test_other_proportions_show_their_effect_and_can_be_taken():
    cabinet = Proportions(
        "cabinet", (0.6, 1, 0.3), (0.5, 1, 0.2), (0.7, 1, 0.4), 0.2, "half depth", "ISO 5456-3:1996"
    )
    reading = catalogue.book(more=(cabinet,))
    design = dimension(reading, KIND, size_mm=300)
    choice = next(choice for choice in design.choices if choice.key == "proportions")
    assert choice.options == ("as_drawn", "cabinet")
    effects = {name: change for option, name, change in choice.effect_mm if option == "cabinet"}
    assert effects == pytest.approx({"cover_width": 180 - 200, "book_thickness": 90 - 40})
    taken = dimension(reading, KIND, size_mm=300, choices={"proportions": "cabinet"})
    assert taken.dimension("cover_width").value_mm == pytest.approx(180)
    assert taken.dimension("cover_width").source == "ISO 5456-3:1996"
