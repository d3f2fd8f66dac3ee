"""The stage as a whole: one object, or a list to choose from; notes; the same input, the same sprite."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from pixel2make.errors import SpriteError
from pixel2make.sprite import load_sprite, parse_cell, parse_region
from tests.drawings import FRONT_WITH_EDGE, rgba_of
from tests.sprite.pictures import DEMO, demo, enlarged

RED = (150, 44, 52, 255)


def save(folder: Path, rgba: np.ndarray) -> Path:
    Image.fromarray(rgba, "RGBA").save(folder / "a.png")
    return folder / "a.png"


def sheet() -> np.ndarray:
    """Two books of 16 x 18 in cells of 20 x 20, one above the other's left."""
    out = np.zeros((40, 40, 4), np.uint8)
    out[1:19, 2:18] = out[21:39, 22:38] = rgba_of(FRONT_WITH_EDGE)
    return out


@pytest.mark.parametrize("path", sorted(DEMO.glob("*.png")), ids=lambda path: path.stem)
def test_every_demo_sprite_loads(path):
    sprite = load_sprite(path)
    assert sprite.file == path.name
    assert sprite.background_kind == "transparent"
    assert max(sprite.shape) <= 48
    assert sprite.grid.scale in (1.0, 8.0)


@pytest.mark.parametrize("scale", [1, 6])
def test_several_objects_are_listed_in_file_pixels(tmp_path, scale):
    with pytest.raises(SpriteError) as caught:
        load_sprite(save(tmp_path, enlarged(sheet(), scale)))
    boxes = [(3 * scale, 2 * scale), (23 * scale, 22 * scale)]
    first, second = (f"{n}: {x},{y},{14 * scale},{16 * scale}" for n, (x, y) in enumerate(boxes, 1))
    assert f"shows 2 objects (x,y,w,h in file pixels: {first}; {second})" in str(caught.value)
    assert "choose one with --region x,y,w,h or --cell W,H,COLUMN,ROW" in str(caught.value)


@pytest.mark.parametrize("scale", [1, 6])
def test_a_listed_box_can_be_given_as_region(tmp_path, scale):
    path = save(tmp_path, enlarged(sheet(), scale))
    region = (23 * scale, 22 * scale, 14 * scale, 16 * scale)
    sprite = load_sprite(path, region=region)
    assert sprite.region_px == region
    assert sprite.shape == (16, 14)
    assert sprite.grid.scale == scale


def test_a_cell_of_a_sheet(tmp_path):
    sprite = load_sprite(save(tmp_path, enlarged(sheet(), 6)), cell=(120, 120, 1, 1))
    assert sprite.region_px == (120, 120, 120, 120)
    assert sprite.shape == (20, 20)
    assert (sprite.rgba == sheet()[20:, 20:]).all()


def test_a_region_around_several_is_the_makers_word(tmp_path):
    sprite = load_sprite(save(tmp_path, sheet()), region=(0, 0, 40, 40))
    assert "2 separate objects in the region were taken as one." in sprite.notes


def test_many_objects_are_not_all_listed(tmp_path):
    rgba = np.zeros((100, 100, 4), np.uint8)
    for y in range(0, 100, 20):
        for x in range(0, 100, 20):
            rgba[y + 3 : y + 16, x + 4 : x + 15] = RED
            rgba[y + 4 : y + 15, x + 5 : x + 14, 1] = 90
    with pytest.raises(SpriteError, match=r"shows 25 objects .*12: 24,43,11,13; and 13 more\); choose one"):
        load_sprite(save(tmp_path, rgba))


def test_small_marks_stay_with_the_object(tmp_path):
    rgba = np.pad(rgba_of(FRONT_WITH_EDGE), ((4, 4), (4, 4), (0, 0)))
    rgba[1, 1] = rgba[2, -3] = (255, 255, 255, 255)
    sprite = load_sprite(save(tmp_path, rgba))
    assert sprite.object[1, 1]
    assert "2 small marks apart from the object were kept with it." in sprite.notes


def test_parts_with_one_clear_pixel_between_are_one_object(tmp_path):
    rgba = np.zeros((20, 24, 4), np.uint8)
    rgba[3:17, 3:11] = rgba[3:17, 12:20] = RED
    rgba[4:16, 4:10, 2] = 90
    assert load_sprite(save(tmp_path, rgba)).object.sum() == 2 * 14 * 8


def test_a_gem_in_a_ring_is_one_object(tmp_path):
    rgba = np.zeros((24, 24, 4), np.uint8)
    rgba[2:22, 2:22] = RED
    rgba[4:20, 4:20] = 0
    rgba[8:16, 8:16] = (90, 160, 220, 255)
    assert load_sprite(save(tmp_path, rgba)).object.sum() == 400 - 256 + 64


@pytest.mark.parametrize(
    ("rgba", "words"),
    [
        (np.zeros((9, 9, 4), np.uint8), "is fully transparent; nothing is drawn in it"),
        (np.full((9, 9, 4), 200, np.uint8), "is one colour all over; nothing is drawn in it"),
        (np.full((1, 1, 4), 255, np.uint8), "is a single pixel; draw the book at 12 pixels"),
        (np.pad(np.full((1, 1, 4), 255, np.uint8), ((3, 5), (3, 5), (0, 0))), "shows a single pixel; draw"),
        (
            np.pad(np.full((2, 3, 4), 255, np.uint8), ((3, 5), (3, 5), (0, 0))),
            "an object of 3 x 2 pixels, too small",
        ),
    ],
)
def test_pictures_without_an_object(tmp_path, rgba, words):
    with pytest.raises(SpriteError, match=words):
        load_sprite(save(tmp_path, rgba))


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ({"region": (30, 0, 20, 20)}, "--region 30,0,20,20 reaches outside the picture; it is 40 x 40"),
        ({"region": (-1, 0, 20, 20)}, "reaches outside"),
        ({"region": (0, 0, 0, 20)}, "reaches outside"),
        (
            {"cell": (20, 20, 2, 0)},
            "--cell 20,20,2,0 is not in the picture: .* 2 columns and 2 rows of 20 x 20",
        ),
        ({"cell": (0, 20, 0, 0)}, "has no area; give W,H,COLUMN,ROW"),
        ({"cell": (20, 20, 0, 0), "region": (0, 0, 9, 9)}, "both a region and a cell; keep one"),
    ],
)
def test_parts_that_are_not_there(tmp_path, part, words):
    with pytest.raises(SpriteError, match=words):
        load_sprite(save(tmp_path, sheet()), **part)


@pytest.mark.parametrize(
    "text", ["", "1,2,3", "1,2,3,4,5", "a,b,c,d", "-1,0,9,9", "1.5,0,9,9", "9" * 12 + ",0,1,1"]
)
def test_parts_that_cannot_be_read(text):
    with pytest.raises(
        SpriteError, match=r"--region .* is not four whole numbers; give x,y,w,h in file pixels"
    ):
        parse_region(text)
    with pytest.raises(SpriteError, match=r"--cell .* is not four whole numbers; give W,H,COLUMN,ROW"):
        parse_cell(text)


def test_parts_without_area():
    with pytest.raises(SpriteError, match="--region '0,0,0,9' has no area"):
        parse_region("0,0,0,9")
    with pytest.raises(SpriteError, match="--cell '16,0,0,0' has no area"):
        parse_cell("16,0,0,0")
    assert parse_region(" 1, 2 ,3,4 ") == (1, 2, 3, 4)
    assert parse_cell("16,16,0,3") == (16, 16, 0, 3)


def test_notes_tell_what_was_done(tmp_path):
    sprite = load_sprite(save(tmp_path, enlarged(demo("ferry_tally"), 8)))
    assert "The picture was enlarged 8 times." in sprite.notes
    assert all(note.endswith(".") for note in sprite.notes)


def test_same_file_same_sprite(tmp_path):
    from tests.sprite.pictures import LINEAR

    path = save(tmp_path, enlarged(demo("ferry_tally"), 3.7, LINEAR))
    one, two = load_sprite(path), load_sprite(str(path))
    assert one.rgba.tobytes() == two.rgba.tobytes()
    assert (one.grid, one.notes, one.sha256) == (two.grid, two.notes, two.sha256)


def test_a_sprite_cannot_be_changed(write_sprite):
    with pytest.raises(ValueError, match="read-only"):
        load_sprite(write_sprite()).rgba[0, 0] = 1
