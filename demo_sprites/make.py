"""Write the demo sprites from their text sources.

    python demo_sprites/make.py            writes <name>.png beside every <name>.txt
    python demo_sprites/make.py --check    writes nothing; exit status 1 where a picture differs

A source has a header of ``key: value`` lines, a legend (character, colour, feature; one a line) and
the grid, one character a native pixel:

    name, story, game, license     who it is, one line each
    enlarge                        how many file pixels make one native pixel
    view, pose                     front | front_with_edges | oblique | axonometric; how the book lies
    spine                          the side of the picture where the spine is
    cover_corners_px               head-spine, head-fore-edge, tail-fore-edge, tail-spine; the outer
                                   edge of the cover without the drawn contour, native pixels, y down
    thickness_px                   from the front cover to the back cover, where it is drawn

One colour may stand under several characters, so that every character means one feature.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

FOLDER = Path(__file__).resolve().parent
CLEAR = (0, 0, 0, 0)


@dataclass(frozen=True)
class Source:
    """One text source.

    Attributes
    ----------
    header : dict of str to str
    colors : tuple of rows of (r, g, b, a)
        Native pixels.
    features : tuple of rows of str
        What each native pixel shows, such as "clasp".
    """

    header: dict[str, str]
    colors: tuple[tuple[tuple[int, int, int, int], ...], ...]
    features: tuple[tuple[str, ...], ...]

    @property
    def size_px(self) -> tuple[int, int]:
        """Native width and height."""
        return len(self.colors[0]), len(self.colors)

    @property
    def enlarge(self) -> int:
        """File pixels that make one native pixel."""
        return int(self.header["enlarge"])

    @property
    def cover_corners_px(self) -> tuple[tuple[float, float], ...]:
        """Head-spine, head-fore-edge, tail-fore-edge, tail-spine."""
        return tuple(_point(text) for text in self.header["cover_corners_px"].split())

    @property
    def thickness_px(self) -> tuple[float, float] | None:
        """From the front cover to the back cover, or None where it is not one vector."""
        return _point(self.header["thickness_px"]) if "thickness_px" in self.header else None


def _point(text: str) -> tuple[float, float]:
    x, y = text.split(",")
    return float(x), float(y)


def _color(text: str) -> tuple[int, int, int, int]:
    if text == "transparent":
        return CLEAR
    red, green, blue = bytes.fromhex(text.removeprefix("#"))
    return red, green, blue, 255


def read_source(path: Path) -> Source:
    """Read a text source; ValueError names the line that cannot be used."""
    lines = path.read_text("utf-8").splitlines()
    at_legend, at_grid = lines.index("legend:"), lines.index("grid:")
    header = dict(line.split(": ", 1) for line in lines[:at_legend] if line)
    legend = {line[0]: line[2:].split() for line in lines[at_legend + 1 : at_grid] if line}
    grid = [line for line in lines[at_grid + 1 :] if line]
    for number, line in enumerate(grid, at_grid + 2):
        if len(line) != len(grid[0]) or set(line) - set(legend):
            raise ValueError(f"{path.name}:{number}: wants {len(grid[0])} characters of the legend")
    colors = tuple(tuple(_color(legend[c][0]) for c in line) for line in grid)
    return Source(header, colors, tuple(tuple(legend[c][1] for c in line) for line in grid))


def draw(source: Source) -> Picture:
    """The picture of a source, enlarged as its header says."""
    from PIL import Image

    width, height = source.size_px
    image = Image.new("RGBA", (width, height))
    image.putdata([color for row in source.colors for color in row])
    return image.resize((width * source.enlarge, height * source.enlarge), Image.Resampling.NEAREST)


def differs(path: Path) -> bool:
    """True where the picture beside a text source is missing or not what the source says."""
    from PIL import Image

    picture = path.with_suffix(".png")
    if not picture.exists():
        return True
    wanted = draw(read_source(path))
    with Image.open(picture) as found:
        return found.size != wanted.size or found.convert("RGBA").tobytes() != wanted.tobytes()


def main(arguments: list[str]) -> int:
    """Write or check every picture; gives the exit status."""
    status = 0
    for path in sorted(FOLDER.glob("*.txt")):
        if "--check" not in arguments:
            draw(read_source(path)).save(path.with_suffix(".png"), optimize=False)
        elif differs(path):
            print(f"{path.stem}.png is not what {path.name} says; run python demo_sprites/make.py")
            status = 1
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
