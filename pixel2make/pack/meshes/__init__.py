"""Meshes to print: how pieces lie, what does not fit onto the bed, and the STL and 3MF writers."""

from pixel2make.pack.meshes.coupon import coupon_pieces
from pixel2make.pack.meshes.lay import Lay, laid
from pixel2make.pack.meshes.placed import PlacedMesh
from pixel2make.pack.meshes.plate import arranged
from pixel2make.pack.meshes.split import split_to_fit
from pixel2make.pack.meshes.stl import stl_bytes
from pixel2make.pack.meshes.threemf import threemf_bytes

__all__ = [
    "Lay",
    "PlacedMesh",
    "arranged",
    "coupon_pieces",
    "laid",
    "split_to_fit",
    "stl_bytes",
    "threemf_bytes",
]
