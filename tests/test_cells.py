"""A sheet of sprites is read cell by cell, on one core or on all, with the same result."""

import numpy as np
import pytest

from pixel2make import read_cells
from pixel2make.errors import SpriteError
from tests.drawings import FRONT_WITH_EDGE, rgba_of


def sheet(tmp_path):
    from PIL import Image

    book = rgba_of(FRONT_WITH_EDGE)
    height, width = book.shape[:2]
    picture = np.zeros((2 * height, 3 * width, 4), np.uint8)
    picture[:height, :width] = book
    picture[height:, 2 * width :] = book
    picture[:height, 2 * width :] = (9, 9, 9, 255)
    picture[height + 3, 3] = (200, 10, 10, 255)
    path = tmp_path / "sheet.png"
    Image.fromarray(picture, "RGBA").save(path)
    return path, (width, height)


def test_cells_with_something_in_them_are_read_and_the_others_say_why(tmp_path):
    path, cell = sheet(tmp_path)
    found = read_cells(path, cell=cell, processes=1)
    assert list(found) == [(0, 0), (0, 1), (2, 1)]
    assert "sheet.png: " in found[0, 1]
    assert found[0, 0].view == found[2, 1].view


def test_all_cores_give_what_one_gives(tmp_path):
    path, cell = sheet(tmp_path)
    one, all_ = read_cells(path, cell=cell, processes=1), read_cells(path, cell=cell)
    assert [str(r) if isinstance(r, str) else r.view for r in one.values()] == [
        str(r) if isinstance(r, str) else r.view for r in all_.values()
    ]


def test_a_cell_larger_than_the_picture_is_refused(tmp_path):
    path, _ = sheet(tmp_path)
    with pytest.raises(SpriteError, match=r"sheet\.png: has no cell of 900 x 9"):
        read_cells(path, cell=(900, 9))
