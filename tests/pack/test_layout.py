"""No lettering touches lettering or geometry on any dimensioned drawing of the pack, whatever is built.

Sizes from a pocket book to a stage prop, both structures, both units, both projections: Hypothesis picks.
"""

from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from demo_sprites.make import FOLDER
from pixel2make import api
from pixel2make.pack.cover_layout import cover_layout_files
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.pens import Drawing
from pixel2make.pack.sections import section_contents

SPRITES = sorted(path.stem for path in FOLDER.glob("*.png"))
TITLES = (None, "The Outer Mole", "Ledger of Salt, Glass and Sundry Cargoes of the Harbour")


@cache
def source(name: str) -> api.Source:
    return api.open_source(FOLDER / f"{name}.png")


@settings(max_examples=8, deadline=None)
@given(
    name=st.sampled_from(SPRITES),
    height=st.floats(60.0, 1000.0),
    structure=st.sampled_from(["case", "laced"]),
    units=st.sampled_from(["mm", "in"]),
    projection=st.sampled_from(["first_angle", "third_angle"]),
    title=st.sampled_from(TITLES),
)
def test_nothing_touches_on_any_drawing(name, height, structure, units, projection, title):
    choices = {"structure": structure, "units": units, "projection": projection}
    design = api.measure(source(name), size=("height", f"{height:.3f}mm"), choices=choices)
    contents = {
        **section_contents("drawing", design),
        **(section_contents("clasp", design) if design.clasps else {}),
        **cover_layout_files(design, title=title),
    }
    drawings = {path: content for path, content in contents.items() if isinstance(content, Drawing)}
    assert {"drawing", "section", "exploded"} <= set(drawings)
    assert {path: found for path, page in drawings.items() if (found := overlaps(page))} == {}
