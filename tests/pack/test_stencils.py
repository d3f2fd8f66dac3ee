"""Stencils hold, trap, register and mirror; judged by geometry and in rendered pictures."""

import dataclasses
import io
import xml.etree.ElementTree as ET
from itertools import combinations, permutations

import numpy as np
import pytest
import shapely
from PIL import Image
from shapely.affinity import affine_transform
from shapely.geometry import Point, box

from pixel2make.design.model import Area
from pixel2make.errors import DesignError
from pixel2make.geometry.bridges import is_one_piece
from pixel2make.pack.drawing.check import overlaps
from pixel2make.pack.face_page import register_marks
from pixel2make.pack.stencil_checks import area_findings, stencil_findings
from pixel2make.pack.stencils import bridge_width_mm, bridged, coats, stencil, stencil_files, traps
from tests.pack.catalogue import SIZES, book, svg_files

CREAM, GREEN = "#ece2c8", "#1f4a38"


def area(name, treatment, color, outline):
    return Area(name, name.rsplit("-", 1)[0], "cover", treatment, color, outline, "")


def target():
    """A green panel, a cream ring that lies against it inside, a gilded disc within the ring."""
    ring = Point(100, 150).buffer(40).difference(Point(100, 150).buffer(20))
    return dataclasses.replace(
        book(),
        areas=(
            area("border-1", "painted", GREEN, box(40, 60, 160, 240).difference(Point(100, 150).buffer(40))),
            area("emblem-1", "painted", CREAM, ring),
            area("emblem-2", "gilded", "#d8b040", Point(100, 150).buffer(20)),
        ),
    )


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("sheet_material", ["film_laser", "card_knife"])
def test_every_stencil_is_one_piece(size, sheet_material):
    design = book(**SIZES[size])
    for each in design.areas:
        done = bridged(design, each.name, sheet_material=sheet_material)
        assert is_one_piece(done.sheet)
        assert bool(done.bridges) == bool(done.islands)


def test_bridges_are_as_wide_as_the_sheet_asks_for():
    """Common practice: film cut by laser 1.0 to 1.5 mm, by hand 2 to 3, card larger than A4 3 to 5."""
    for sheet_material, low, high in (("film_laser", 1, 1.5), ("film_knife", 2, 3), ("card_knife", 3, 5)):
        done = bridged(book(), "border-1", sheet_material=sheet_material)
        assert all(low <= each.width <= high for each in done.bridges)
    assert 2 <= bridge_width_mm("card_knife", (200, 150)) <= 3


def test_a_wide_island_hangs_on_four_bridges_a_small_one_on_two():
    assert len(bridged(book(), "border-1").bridges) == 4
    assert len(bridged(book(), "emblem-1").bridges) == 2


def test_adhesive_masks_keep_their_islands_loose():
    done = bridged(book(), "emblem-1", sheet_material="masking_film")
    assert not done.bridges and len(done.islands) == 1
    drawing = stencil(book(), "emblem-1", sheet_material="masking_film")
    assert any("lay each on by itself" in text.value for text in drawing.texts)


def test_light_goes_over_dark_or_the_reverse_and_leaf_last():
    """CIELAB lightness of the hex colours: green about 28, cream about 90."""
    names = [coat.areas for coat in coats(target(), "cover")]
    assert names == [("border-1",), ("emblem-1",), ("emblem-2",)]
    names = [coat.areas for coat in coats(target(), "cover", order="dark_over_light")]
    assert names == [("emblem-1",), ("border-1",), ("emblem-2",)]


def test_one_paint_is_one_coat():
    design = dataclasses.replace(
        book(),
        areas=tuple(
            area(f"corner_piece-{i}", "painted", CREAM, box(i * 20, 0, i * 20 + 9, 9)) for i in (1, 2)
        ),
    )
    assert [coat.areas for coat in coats(design, "cover")] == [("corner_piece-1", "corner_piece-2")]


def test_under_colours_run_three_to_five_tenths_below_the_next():
    """Common practice: 0.3 to 0.5 mm. The strip's breadth by its area over the length of the shared edge."""
    first, second, last = (traps(target(), name) for name in ("border-1", "emblem-1", "emblem-2"))
    assert [(t.under, t.kind) for t in first] == [("emblem-1", "choke")]
    assert [(t.under, t.kind) for t in second] == [("emblem-2", "choke")]
    assert last == ()
    assert 0.3 <= first[0].strip.area / (2 * np.pi * 40) <= 0.5
    assert 0.3 <= second[0].strip.area / (2 * np.pi * 20) <= 0.5


def test_an_enclosed_colour_spreads_when_it_is_laid_first():
    found = traps(target(), "emblem-1", order="dark_over_light")
    assert [(t.under, t.kind) for t in found] == [("border-1", "spread"), ("emblem-2", "choke")]


def test_traps_stay_below_what_is_laid_later_and_bare_ground_gets_none():
    design = target()
    outlines = {a.name: a.outline for a in design.areas}
    for name in outlines:
        for trap in traps(design, name):
            assert trap.strip.difference(outlines[trap.under]).area < 1e-9
        opening = bridged(design, name).openings
        assert opening.difference(shapely.union_all(list(outlines.values()))).area < 1e-6


def test_openings_are_the_area_without_its_bridges():
    done = bridged(book(), "border-1", sheet_material="film_laser")
    border = next(a for a in book().areas if a.name == "border-1")
    strips = shapely.union_all([b.strip for b in done.bridges])
    assert done.openings.symmetric_difference(border.outline.difference(strips)).area < 1e-2


@pytest.mark.parametrize(
    "face", [(212.0, 300.0), (18.0, 70.0), (700.0, 1000.0), (200.6, 200.0), (45.0, 300.0)]
)
def test_no_turn_and_no_reflection_maps_the_crosses_onto_themselves(face):
    marks = np.array(register_marks(face))
    (ax, ay), (bx, by), (cx, cy) = marks
    assert abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) > 100, "in line"
    sides = np.hypot(*(marks[[0, 1, 2]] - marks[[1, 2, 0]]).T)
    for order in permutations(range(3)):
        if order != (0, 1, 2):
            moved = marks[list(order)]
            others = np.hypot(*(moved[[0, 1, 2]] - moved[[1, 2, 0]]).T)
            assert np.abs(sides - others).max() > 4


def crosses(drawing):
    """Centres of the crosses' circles, from the drawn paths."""
    rings = [p.lines[0] for p in drawing.paths if p.purpose == "dimension" and p.commands[-1][0] == "close"]
    return sorted((round(r.centroid.x, 3), round(r.centroid.y, 3)) for r in rings)


def test_crosses_stand_at_the_same_place_on_every_sheet_of_a_face():
    design = target()
    found = [crosses(stencil(design, a.name)) for a in design.areas]
    assert len(found[0]) == 3 and found[0] == found[1] == found[2]


def cut_of(drawing):
    return shapely.union_all([shapely.polygonize(p.lines) for p in drawing.paths if p.purpose == "cut"])


def test_mirrored_is_w_minus_x_and_twice_mirrored_the_same():
    """x' = w - x: 206 wide, 30 becomes 176. The crosses go along, so that the sheets still register."""
    design = book()
    plain, mirrored = stencil(design, "emblem-1"), stencil(design, "emblem-1", is_mirrored=True)
    moved = affine_transform(cut_of(mirrored), [-1, 0, 0, 1, 0, 0])
    shift = cut_of(plain).bounds[0] - moved.bounds[0]
    again = affine_transform(moved, [1, 0, 0, 1, shift, 0])
    assert again.symmetric_difference(cut_of(plain)).area < 1e-2
    turned = sorted((round(shift - x, 3), y) for x, y in crosses(mirrored))
    assert np.allclose(turned, crosses(plain), atol=2e-3)


@pytest.mark.parametrize("size", SIZES)
def test_lettering_touches_nothing(size):
    design = book(**SIZES[size])
    for each in design.areas:
        for is_mirrored in (False, True):
            found = overlaps(stencil(design, each.name, is_mirrored=is_mirrored))
            assert [s for s in found if "dimension lines cross" not in s] == []


def test_the_rendered_opening_has_its_area_and_its_bridges():
    """Drawn by resvg, an independent renderer, at ten pixels a millimetre: white inside closed cut lines."""
    import resvg_py
    from scipy import ndimage

    design = book(width=80, height=100, thickness=20, clasps=0)
    files = svg_files(stencil_files(design))
    root = ET.fromstring(files["stencils/emblem-1.svg"])
    for child in list(root):
        if child.attrib.get("id") not in ("cut", "paper"):
            root.remove(child)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=254)
    ink = np.array(Image.open(io.BytesIO(bytes(png))).convert("L")) < 160
    labels, count = ndimage.label(~ink)
    assert count == 3, "the sheet with the island on its bridges, and two halves of the opening"
    opening = bridged(design, "emblem-1").openings
    inside = opening.buffer(-0.25).area  # a line half as wide lies inside
    sizes = sorted(np.bincount(labels.ravel())[1:])
    assert sum(sizes[:2]) / 100 == pytest.approx(inside, rel=0.02)


def test_files_are_the_same_again():
    assert svg_files(stencil_files(target())) == svg_files(stencil_files(target()))
    assert set(svg_files(stencil_files(target()))) == {
        f"stencils/{name}{tail}.svg"
        for name in ("border-1", "emblem-1", "emblem-2")
        for tail in ("", "_mirrored")
    }


def test_no_areas_no_stencils():
    assert svg_files(stencil_files(dataclasses.replace(book(), areas=()))) == {}


def test_an_unknown_area_or_sheet_is_named():
    with pytest.raises(DesignError, match=r"no area 'spire-1'.*emblem-1"):
        stencil(book(), "spire-1")
    with pytest.raises(DesignError, match="film_laser"):
        bridged(book(), "emblem-1", sheet_material="tinfoil")
    with pytest.raises(DesignError, match="light_over_dark"):
        coats(book(), "cover", order="any")


def test_findings_name_the_place_and_the_repair_removes_them():
    thin = area("border-1", "painted", CREAM, box(10, 10, 60, 40).union(box(60, 20, 90, 20.6)))
    found = {f.code: f for f in area_findings(thin, "brush")}
    assert found["narrow-place"].measured_mm == pytest.approx(0.6, rel=0.03)
    assert found["narrow-place"].limit_mm == 1.5
    assert "y 20.3 mm" in found["narrow-place"].sentence
    assert "sharp-corner" in found
    assert {f.code for f in area_findings(thin, "knife")} == {"narrow-place"}, "a knife cuts sharp corners"
    assert not list(area_findings(area("x-1", "painted", CREAM, Point(0, 0).buffer(9, 64)), "brush"))


def test_webs_and_bridges_that_are_too_much_are_found():
    bars = shapely.union_all([box(10 + 5 * i, 10, 14.4 + 5 * i, 40) for i in range(4)])
    design = dataclasses.replace(book(), areas=(area("border-1", "painted", CREAM, bars),))
    (web,) = [f for f in stencil_findings(design, "border-1") if f.code == "fragile-web"]
    assert web.measured_mm == pytest.approx(0.6, rel=0.05)
    ring = box(10, 10, 13, 13).difference(box(11, 11, 12, 12))
    tiny = dataclasses.replace(book(), areas=(area("emblem-1", "painted", CREAM, ring),))
    assert "bridges-cover-opening" in {f.code for f in stencil_findings(tiny, "emblem-1")}


def test_drawn_sheets_differ_only_where_areas_do():
    names = [a.name for a in book().areas]
    files = svg_files(stencil_files(book()))
    assert all(files[f"stencils/{a}.svg"] != files[f"stencils/{b}.svg"] for a, b in combinations(names, 2))
