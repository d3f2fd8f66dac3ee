"""proof/back_to_pixels.png: three panels and a key, the same bytes in every run."""

import io

import numpy as np
import pytest
from PIL import Image

from pixel2make.pack.proof.picture import proof_files
from tests.pack.catalogue import SIZES, book


@pytest.mark.parametrize("name", SIZES)
def test_same_design_same_bytes(name):
    assert proof_files(book(**SIZES[name])) == proof_files(book(**SIZES[name]))


def test_it_is_a_picture_with_the_sprite_enlarged_crisply():
    """The sprite's own colour fills whole squares: 10 x 14 of its pixels, as large as the panel's scale."""
    (content,) = proof_files(book()).values()
    picture = np.asarray(Image.open(io.BytesIO(content)).convert("RGB"))
    own = (picture[:, : picture.shape[1] // 3] == (150, 44, 52)).all(axis=-1)
    ys, xs = np.nonzero(own)
    wide, high = np.ptp(xs) + 1, np.ptp(ys) + 1
    assert own.sum() == wide * high
    assert wide * 16 == high * 10
