"""Metalwork where it sits on the closed book, judged by trimesh."""

import numpy as np
import pytest
import trimesh

import pixel2make
from demo_sprites.make import FOLDER
from pixel2make.pack.clasp import assembly

NAMES = ("saltglass_ledger", "kelp_pocketbook", "harbour_registry")


@pytest.fixture(scope="module", params=NAMES)
def design(request):
    sprite = pixel2make.load_sprite(FOLDER / f"{request.param}.png")
    return pixel2make.dimension(pixel2make.interpret(pixel2make.segment(sprite)), size_mm=300.0)


def test_every_mesh_is_closed_and_lies_round_the_fore_edge(design):
    placed = assembly(design)
    assert placed
    width, height, thickness = (
        design.dimension(name).value_mm for name in ("cover_width", "cover_height", "book_thickness")
    )
    for mesh in placed:
        other = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
        assert other.is_volume and other.volume == pytest.approx(mesh.volume_mm3)
    low = np.min([mesh.bounds[0] for mesh in placed], axis=0)
    high = np.max([mesh.bounds[1] for mesh in placed], axis=0)
    assert low[0] < width < high[0] and low[0] > 0
    assert low[1] > -1 and high[1] < height + 1
    assert low[2] < 0 and high[2] > thickness
