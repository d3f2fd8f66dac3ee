"""Small drawings whose parts anyone can name."""

from __future__ import annotations

import numpy as np

from pixel2make.regions import region_of, segment
from tests.regions.grids import sprite_of, where

BOOK = """
..............
.kkkkkkkkkkkk.
.kccccccccvwk.
.kcbbbbbbbuvk.
.kcbabbbabvwk.
.kcbbbzybbuvk.
.kcbbyggybvwk.
.kcbbyggybuvk.
.kcbbbyybbvwk.
.kcbabbbzyyxk.
.kcbbbbbyyxxk.
.kcbbabbbbvwk.
.kcbbbbabbuvk.
.kaaaaaaaavwk.
.kkkkkkkkkkkk.
..............
"""


def assert_one_region(regions, mask):
    assert len(np.unique(regions.labels[mask])) == 1


def test_a_book_falls_into_the_parts_that_were_drawn():
    regions = segment(sprite_of(BOOK))
    np.testing.assert_array_equal(regions.contour, where(BOOK, "k"))
    assert_one_region(regions, where(BOOK, "abc"))
    assert_one_region(regions, where(BOOK, "g"))
    brass = np.unique(regions.labels[where(BOOK, "xyz")])
    assert not set(brass) & set(np.unique(regions.labels[where(BOOK, "abcguvwk")]))
    pages = where(BOOK, "uvw")
    # The clasp parts the pages into an upper and a lower strip; both are one material.
    assert len(np.unique(regions.labels[pages])) == 2
    assert len({regions.regions[i - 1].material for i in np.unique(regions.labels[pages])}) == 1


def test_middle_shade_is_a_colour_of_the_region():
    regions = segment(sprite_of(BOOK))
    cover = regions.regions[regions.labels[4, 3] - 1]
    assert cover.color == "#8e2834"
    assert cover.shades == ("#5c1830", "#8e2834", "#be463c")
    assert cover.bbox == (2, 2, 10, 14)


def test_a_black_book_has_a_contour_of_its_own():
    text = """
    ..........
    .KKKKKKKK.
    .KnnnnnnK.
    .KnmnnnnK.
    .KnnnnmnK.
    .KnnzznnK.
    .KnnzznnK.
    .KnnnnnnK.
    .KmnnnnnK.
    .KnnnnnnK.
    .KKKKKKKK.
    ..........
    """
    regions = segment(sprite_of(text))
    np.testing.assert_array_equal(regions.contour, where(text, "K"))
    assert_one_region(regions, where(text, "nm"))
    assert_one_region(regions, where(text, "z"))


def test_a_black_book_without_a_contour_has_none():
    text = """
    .........
    .nnnnnnn.
    .nnnnnnn.
    .nnwwwnn.
    .nnnnnnn.
    .nngggnn.
    .nngggnn.
    .nnnnnnn.
    .........
    """
    regions = segment(sprite_of(text))
    assert not regions.contour.any()
    assert len(regions.regions) == 3


def test_a_coloured_contour_is_told_from_the_shade_of_a_face():
    text = """
    ............
    .AAAAAAAAAA.
    .AccccccccA.
    .AcbbbbbbbA.
    .AcbbbbbbbA.
    .AcbbbbaaaA.
    .AcbbbaaaaA.
    .AcbbaaaaaA.
    .AcbaaaaaaA.
    .AAAAAAAAAA.
    ............
    """
    regions = segment(sprite_of(text))
    np.testing.assert_array_equal(regions.contour, where(text, "A"))
    assert_one_region(regions, where(text, "abc"))


def test_a_contour_on_the_shadow_side_alone():
    text = """
    ............
    .cccccccccA.
    .cbbbbbbbbA.
    .cbbbbbbbbA.
    .cbbbyybbbA.
    .cbbbyybbbA.
    .cbbbbbbbbA.
    .cbbbbbbbbA.
    .cbbbbbbbbA.
    .AAAAAAAAAA.
    ............
    """
    regions = segment(sprite_of(text))
    np.testing.assert_array_equal(regions.contour, where(text, "A"))


def test_the_line_between_faces_is_contour_and_lettering_is_not():
    text = """
    .............
    .kkkkkkkkkkk.
    .kbbkbbbbbbk.
    .kbbkbbbbbbk.
    .kaakbKKKbbk.
    .kbbkbbbbbbk.
    .kbbkbKKbbbk.
    .kbbkbbbbbbk.
    .kbbkbbbbbbk.
    .kkkkkkkkkkk.
    .............
    """
    regions = segment(sprite_of(text.replace("K", "k")))
    np.testing.assert_array_equal(regions.contour, where(text, "k"))
    letters = np.unique(regions.labels[where(text, "K")])
    assert len(letters) == 2
    # A line parts spine and cover: like colour, two regions, one material.
    spine, cover = regions.labels[2, 2], regions.labels[2, 6]
    assert spine != cover
    assert regions.regions[spine - 1].material == regions.regions[cover - 1].material


def test_a_strap_of_the_cover_s_own_dark_shade_is_parted_at_its_step():
    text = """
    kkkkkkkkkkkkkkkk
    kcccbbbbbbbbbabk
    kcccbbbbabbbaaak
    kccccbbbbbbbbaak
    kccccbbabbbbbbak
    kcccccbbbbbbbaak
    kccccccccccccbak
    kdddddddddccccbk
    kdddddddddcccbbk
    kccccccccccccbak
    kccccccbbbbbbbak
    kcccccbbbabbbaak
    kccccbbbbbbbaaak
    kcccbbbbbaaaaaak
    kkkkkkkkkkkkkkkk
    """
    regions = segment(sprite_of(text.replace("d", "a")))
    assert_one_region(regions, where(text, "d"))
    strap, cover = regions.regions[regions.labels[7, 1] - 1], regions.regions[regions.labels[1, 1] - 1]
    assert strap.id != cover.id
    assert strap.material == cover.material


def test_dithering_with_the_contour_s_colour_is_no_contour():
    text = """
    kkkkkkkkkkkk
    kbbbbbbbbbbk
    kbbbbbbbbbbk
    kbKbKbKbKbKk
    kKbKbKbKbKbk
    kbKbKbKbKbKk
    kKbKbKbKbKbk
    kbKbKbKbKbKk
    kbbbbbbbbbbk
    kbbbbbbbbbbk
    kkkkkkkkkkkk
    """
    regions = segment(sprite_of(text.replace("K", "k")))
    np.testing.assert_array_equal(regions.contour, where(text, "k"))


def test_a_white_row_of_light_is_no_page():
    text = """
    kkkkkkkkkkkk
    kWWWWWWWWWWk
    kccccccccbbk
    kcbbbbbbbbbk
    kcbbbbbbbbak
    kcbbbbbbbaak
    kaaaaaaaaaak
    kwvwvwvwvwvk
    kwvwvwvwvwvk
    kkkkkkkkkkkk
    """
    regions = segment(sprite_of(text))
    assert_one_region(regions, where(text, "abc"))
    assert_one_region(regions, where(text, "wv"))
    light, pages = regions.regions[regions.labels[1, 2] - 1], regions.regions[regions.labels[7, 2] - 1]
    assert light.id != pages.id


def test_dithering_of_two_colours_is_one_region():
    text = """
    kkkkkkkkkk
    kbgbgbgbgk
    kgbgbgbgbk
    kbgbgbgbgk
    kgbgbgbgbk
    kbgbgbgbgk
    kkkkkkkkkk
    """
    regions = segment(sprite_of(text))
    assert_one_region(regions, where(text, "bg"))


def test_a_glint_joins_and_a_stone_stays():
    text = """
    kkkkkkkkkkk
    kbbbbbbbbbk
    kbbbbbbbbbk
    kbbyyyyybbk
    kbbyyWyybbk
    kbbyyyyybbk
    kbbyygyybbk
    kbbyyyyybbk
    kbbbbbbbbbk
    kkkkkkkkkkk
    """
    regions = segment(sprite_of(text))
    assert_one_region(regions, where(text, "yW"))
    stone = regions.regions[regions.labels[6, 5] - 1]
    assert stone.area_px == 1
    assert stone.color == "#3060be"


def test_one_pixel_of_brass_survives_on_the_pages():
    text = """
    kkkkkkkkkk
    kbbbbbbwuk
    kbbbbbbwuk
    kbbbbbbwuk
    kbbbbbbyuk
    kbbbbbbwuk
    kbbbbbbwuk
    kbbbbbbwuk
    kkkkkkkkkk
    """
    regions = segment(sprite_of(text))
    assert regions.regions[regions.labels[4, 7] - 1].area_px == 1
    assert_one_region(regions, where(text, "wu"))


def test_light_is_found_where_the_shading_shows_it():
    text = """
    kkkkkkkkkk
    kcccccccck
    kcccccbbbk
    kccccbbbbk
    kcccbbbbak
    kccbbbbaak
    kcbbbbaaak
    kbbbaaaaak
    kkkkkkkkkk
    """
    light = segment(sprite_of(text)).light
    assert light is not None
    assert light.direction_px[0] < -0.4
    assert light.direction_px[1] < -0.4


def test_no_light_on_a_flat_colour():
    assert segment(sprite_of("....\n.bb.\n.bb.\n....")).light is None
    assert segment(sprite_of("\n".join(["b" * 9] * 9))).light is None


def test_a_part_drawn_in_shades_of_its_own_has_its_own_colour():
    regions = segment(sprite_of(BOOK))
    whole = region_of(regions, where(BOOK, "abc"))
    dark = region_of(regions, where(BOOK, "a"))
    assert whole is not None and whole.color == "#8e2834"
    assert dark is not None and (dark.id, dark.color, dark.shades) == (whole.id, "#5c1830", ("#5c1830",))
    assert dark.area_px == where(BOOK, "a").sum()
    assert region_of(regions, where(BOOK, ".")) is None


def test_crossed_strokes_that_stand_out_are_no_dithering():
    text = """
    kkkkkkkkkkkk
    kbbbbbbbbbbk
    kbybybbybybk
    kbbybbbbybbk
    kbybybbybybk
    kbbbbbbbbbbk
    kbbbbbbbbbbk
    kbbbbbbbbbbk
    kkkkkkkkkkkk
    """
    regions = segment(sprite_of(text))
    letters = np.unique(regions.labels[where(text, "y")])
    assert not set(letters) & set(np.unique(regions.labels[where(text, "b")]))
