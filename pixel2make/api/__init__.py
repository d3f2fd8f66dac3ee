"""The whole way from a picture to a pack, one function a stage and one that runs them all.

load_sprite > segment > interpret > dimension > export; `open_source` and `build_pack` join them.
"""

from pixel2make.api.packs import CoverText, Pack, build_pack, export
from pixel2make.api.sources import PLAN_SUFFIX, Source, make_plan, measure, open_source
from pixel2make.api.stages import dimension, interpret, load_sprite, read_cells, segment

__all__ = [
    "PLAN_SUFFIX",
    "CoverText",
    "Pack",
    "Source",
    "build_pack",
    "dimension",
    "export",
    "interpret",
    "load_sprite",
    "make_plan",
    "measure",
    "open_source",
    "read_cells",
    "segment",
]
