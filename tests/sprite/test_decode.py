"""Files become pixels, or one line that says what is wrong and what to do."""

import hashlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from pixel2make.errors import SpriteError
from pixel2make.sprite import load_sprite
from pixel2make.sprite.decode import MAX_FILE_BYTES, MAX_FILE_SIDE_PX, read_frame
from tests.sprite.pictures import DEMO, NATIVE_NAMES, demo, visible
from tests.sprite.pngsuite import PNGSUITE


@pytest.mark.parametrize("name", PNGSUITE)
def test_pngsuite_reads_as_an_independent_decoder_reads_it(tmp_path, name):
    """Bit depths 1 to 16, interlacing, palette, alpha, one clear colour; source in `pngsuite`."""
    content, digest = PNGSUITE[name]
    (tmp_path / "a.png").write_bytes(bytes.fromhex(content))
    rgba = read_frame(tmp_path / "a.png").rgba
    assert hashlib.sha256(rgba.tobytes()).hexdigest() == digest


def test_sixteen_bit_grey_is_scaled_not_clipped(tmp_path):
    """PNG specification 13.12: a sample of 16 bits is v * 255 / 65535, rounded, in eight."""
    deep = np.array([[0, 128, 129, 257, 32768, 65406, 65407, 65535]], np.uint16)
    Image.fromarray(deep).save(tmp_path / "deep.png")
    assert read_frame(tmp_path / "deep.png").rgba[0, :, 0].tolist() == [0, 0, 1, 1, 128, 254, 255, 255]


@pytest.mark.parametrize(
    ("suffix", "options"),
    [("png", {}), ("webp", {"lossless": True, "exact": True}), ("tiff", {}), ("bmp", {})],
)
def test_lossless_formats_give_the_same_pixels(tmp_path, suffix, options):
    rgba = demo("furnace_book")
    image = Image.fromarray(rgba, "RGBA")
    path = tmp_path / f"a.{suffix}"
    (image if suffix != "bmp" else image.convert("RGB")).save(path, **options)
    got = read_frame(path).rgba
    channels = 3 if suffix == "bmp" else 4
    assert (got[..., :channels] == rgba[..., :channels]).all()


def test_palette_and_gif_keep_colours_and_transparency(tmp_path):
    rgba = demo("ferry_tally")
    image = Image.fromarray(rgba, "RGBA")
    image.save(tmp_path / "a.gif")
    image.quantize(64, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(tmp_path / "a.png")
    for name in ("a.png", "a.gif"):
        error = abs(visible(read_frame(tmp_path / name).rgba) - visible(rgba))
        assert error[:, :, 3].max() == 0
        assert error.max() <= 4, "the palette is a little coarser than the sprite's own"


def test_a_frame_of_an_animation(tmp_path):
    frames = [Image.new("RGB", (9, 9), color) for color in ("red", "lime", "blue")]
    frames[0].save(tmp_path / "a.gif", save_all=True, append_images=frames[1:])
    for index, color in enumerate(((255, 0, 0), (0, 255, 0), (0, 0, 255))):
        frame = read_frame(tmp_path / "a.gif", index)
        assert frame.count == 3
        assert frame.rgba[4, 4].tolist() == [*color, 255]
    with pytest.raises(SpriteError, match="has no frame 3; it has 3 frames, give --frame 0 to 2"):
        read_frame(tmp_path / "a.gif", 3)
    with pytest.raises(SpriteError, match="has no frame -1; it has 3 frames"):
        read_frame(tmp_path / "a.gif", -1)


def test_a_still_picture_has_one_frame(write_sprite):
    with pytest.raises(SpriteError, match="has no frame 1: it is a still picture; leave out --frame"):
        read_frame(write_sprite(), 1)


def test_the_turn_that_a_file_asks_for_is_carried_out(tmp_path):
    """EXIF orientation 6 (CIPA DC-008): row 0 is the right-hand side of the picture."""
    rgba = np.zeros((2, 3, 3), np.uint8)
    rgba[0, 0] = 255
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(rgba, "RGB").save(tmp_path / "a.png", exif=exif)
    got = read_frame(tmp_path / "a.png").rgba
    assert got.shape == (3, 2, 4)
    assert got[0, 1, 0] == 255


@pytest.mark.parametrize("suffix", ["png", "gif", "bmp", "webp", "tiff", "jpeg"])
def test_no_cut_short_file_escapes_the_error_tree(tmp_path, suffix):
    out = BytesIO()
    Image.fromarray(demo("ferry_tally"), "RGBA").convert("RGB").save(out, suffix.upper())
    content = out.getvalue()
    refused = 0
    for length in range(1, len(content) - 1, max(1, len(content) // 40)):
        (tmp_path / "cut").write_bytes(content[:length])
        try:
            read_frame(tmp_path / "cut")
        except SpriteError as error:
            refused += 1
            assert len(str(error).splitlines()) == 1
            assert ";" in str(error), "says what to do"
    assert refused >= 20


def test_no_damaged_file_escapes_the_error_tree(tmp_path):
    content = bytearray((DEMO / f"{NATIVE_NAMES[0]}.png").read_bytes())
    rng = np.random.default_rng(2)
    for _ in range(150):
        broken = bytearray(content)
        for place in rng.integers(8, len(content), 3):
            broken[place] = rng.integers(256)
        (tmp_path / "broken.png").write_bytes(broken)
        try:
            load_sprite(tmp_path / "broken.png")
        except SpriteError as error:
            assert len(str(error).splitlines()) == 1


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"not a picture", "is not a picture that can be read; give a PNG, GIF, BMP, WebP, TIFF or JPEG"),
        (b"", r"is empty \(0 bytes\); save it again as PNG"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "is not a picture that can be read"),
        (b"x" * (MAX_FILE_BYTES + 1), "is larger than 16 MiB; cut the sprite out"),
    ],
)
def test_content_that_is_no_picture(tmp_path, content, words):
    (tmp_path / "a.png").write_bytes(content)
    with pytest.raises(SpriteError, match=words):
        load_sprite(tmp_path / "a.png")


def test_places_that_are_no_file(tmp_path):
    with pytest.raises(SpriteError, match="is a folder; name a picture file"):
        load_sprite(tmp_path)
    with pytest.raises(SpriteError, match="is not there; check the name and the folder"):
        load_sprite(tmp_path / "missing.png")
    with pytest.raises(SpriteError, match="cannot be opened"):
        load_sprite(str(tmp_path / "a\0b.png"))
    with pytest.raises(SpriteError, match="is not an ordinary file"):
        load_sprite("/dev/null")


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch, write_sprite):
    path = write_sprite()

    def refuse(self, *args, **kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    with pytest.raises(
        SpriteError, match=r"cannot be opened \(permission denied\); check the name and the rights"
    ):
        load_sprite(path)


def test_too_many_pixels_are_refused_before_they_are_decoded(tmp_path):
    Image.new("1", (MAX_FILE_SIDE_PX + 1, 2)).save(tmp_path / "long.png")
    with pytest.raises(
        SpriteError, match=f"is {MAX_FILE_SIDE_PX + 1} x 2 pixels; a file may have 8192 a side"
    ):
        load_sprite(tmp_path / "long.png")
    Image.new("1", (6000, 6000)).save(tmp_path / "large.png")
    with pytest.raises(SpriteError, match="16 million in all; cut the sprite out"):
        load_sprite(tmp_path / "large.png")
    Image.new("1", (20000, 20000)).save(tmp_path / "bomb.png")
    with pytest.raises(SpriteError, match="far too many pixels; cut the sprite out"):
        load_sprite(tmp_path / "bomb.png")


def test_deep_numbers_that_are_no_colours(tmp_path):
    Image.new("F", (9, 9), 0.5).save(tmp_path / "a.tiff")
    with pytest.raises(SpriteError, match="floating-point numbers, not colours; save it as PNG"):
        load_sprite(tmp_path / "a.tiff")
    Image.new("I", (9, 9), 70000).save(tmp_path / "b.tiff")
    with pytest.raises(SpriteError, match="more than 16 bits a channel; save it as PNG"):
        load_sprite(tmp_path / "b.tiff")


def test_hash_is_of_the_file(tmp_path, write_sprite):
    path = write_sprite()
    assert load_sprite(path).sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
