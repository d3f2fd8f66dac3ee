"""The demo pictures are what their text sources say; Pillow decodes the files."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import pixel2make.reading.model as reading
from demo_sprites.make import FOLDER, differs, draw, main, read_source

SOURCES = sorted(FOLDER.glob("*.txt"))
FEATURES = {
    *("cover", "spine", "page_edge", "back_cover", "clasp", "strap", "corner_piece", "emblem"),
    *("title_area", "border", "bookmark", "outline", "background", "other"),
}
each = pytest.mark.parametrize("path", SOURCES, ids=lambda p: p.stem)


def native(path: Path) -> np.ndarray:
    return np.array(read_source(path).colors, np.uint8)


@each
def test_picture_is_the_grid_pixel_by_pixel(path):
    with Image.open(path.with_suffix(".png")) as picture:
        pixels = np.array(picture.convert("RGBA"))
    factor = read_source(path).enlarge
    wanted = native(path)
    assert pixels.shape == (wanted.shape[0] * factor, wanted.shape[1] * factor, 4)
    for dy in range(factor):
        for dx in range(factor):
            assert (pixels[dy::factor, dx::factor] == wanted).all()


def test_every_picture_has_a_source_and_every_source_a_picture():
    assert {p.stem for p in SOURCES} == {p.stem for p in FOLDER.glob("*.png")}
    assert len(SOURCES) >= 8


@each
def test_native_size_is_that_of_game_art(path):
    width, height = read_source(path).size_px
    assert 12 <= width <= 48 and 12 <= height <= 48


def test_all_views_are_drawn_and_the_three_axonometric_poses():
    headers = [read_source(p).header for p in SOURCES]
    assert {h["view"] for h in headers} == set(reading.VIEW_KINDS)
    assert sum(h["view"] == "axonometric" for h in headers) >= 3
    shown = [{f for row in read_source(p).features for f in row} for p in SOURCES]
    axonometric = [s for s, h in zip(shown, headers, strict=True) if h["view"] == "axonometric"]
    assert any({"strap", "clasp"} <= s for s in axonometric)
    assert any({"corner_piece", "emblem"} <= s for s in axonometric)
    flat = [s for s, h in zip(shown, headers, strict=True) if h["view"] == "front_with_edges"]
    assert any({"page_edge", "spine"} <= s for s in flat)
    assert any("page_edge" in s and "spine" not in s for s in flat)


def test_one_is_saved_enlarged_exactly_eight_times():
    assert [read_source(p).enlarge for p in SOURCES if read_source(p).enlarge != 1] == [8]


@each
def test_drawn_corners_frame_the_drawn_cover(path):
    """Known to the pixel: what lies on a cover lies within it, and nothing else does."""
    from shapely import Point, Polygon

    source = read_source(path)
    cover = Polygon(source.cover_corners_px)
    assert cover.is_valid
    wide, narrow = cover.buffer(1.0), cover.buffer(-1.0)
    on_cover = {"cover", "emblem", "title_area", "border", "corner_piece"}
    over_cover = on_cover | {"clasp", "strap"}
    for y, row in enumerate(source.features):
        for x, feature in enumerate(row):
            centre = Point(x + 0.5, y + 0.5)
            assert feature in over_cover or not narrow.covers(centre), (x, y)
            assert feature not in on_cover or wide.covers(centre) or feature == "cover", (x, y)


@each
def test_contour_closes_the_drawing(path):
    """No pixel of the object but the contour and what hangs out touches the background."""
    features = np.pad(np.array(read_source(path).features), 1, constant_values="background")
    clear = features == "background"
    beside = np.zeros_like(clear)
    for axis in (0, 1):
        for step in (1, -1):
            beside |= np.roll(clear, step, axis)
    touching = features[beside & ~clear]
    assert set(touching) <= {"outline", "bookmark"}


@each
def test_legend_speaks_the_vocabulary_and_alpha_is_all_or_nothing(path):
    source = read_source(path)
    assert {f for row in source.features for f in row} <= FEATURES
    alpha = native(path)[..., 3]
    assert set(np.unique(alpha)) == {0, 255}
    assert ((alpha == 0) == (np.array(source.features) == "background")).all()


@each
def test_readme_and_header_name_it(path):
    source = read_source(path)
    width, height = source.size_px
    index = (FOLDER / "README.md").read_text("utf-8")
    (line,) = [x for x in index.splitlines() if x.startswith(f"| `{path.stem}` |")]
    assert f"{width} x {height}" in line
    assert source.header["story"] in line
    assert (source.header["game"], source.header["license"]) == ("Saltglass Harbour", "CC0-1.0")


def test_a_changed_pixel_is_noticed(tmp_path):
    source = tmp_path / SOURCES[0].name
    source.write_bytes(SOURCES[0].read_bytes())
    assert differs(source)
    picture = draw(read_source(source))
    picture.save(source.with_suffix(".png"))
    assert not differs(source)
    picture.putpixel((3, 3), (1, 2, 3, 255))
    picture.save(source.with_suffix(".png"))
    assert differs(source)


def test_check_passes_and_a_ragged_grid_names_its_line(tmp_path):
    assert main(["--check"]) == 0
    lines = SOURCES[0].read_text("utf-8").splitlines()
    ragged = tmp_path / "ragged.txt"
    ragged.write_text("\n".join([*lines, "."]) + "\n", "utf-8")
    with pytest.raises(ValueError, match=rf"ragged\.txt:{len(lines) + 1}: wants"):
        read_source(ragged)
