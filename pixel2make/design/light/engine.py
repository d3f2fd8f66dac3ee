# The animations, in whole numbers alone, so that every board shows the same frames.
#
# This file is both the reference that the plan's currents are reckoned from and, as it stands, the upper
# part of the program for the board: it keeps to what MicroPython knows and imports nothing.

MODES = ("shimmer", "breathing", "candle")
LOW = 40
CANDLE_LOW = 110
CANDLE_GROUP = 3


class Light:
    """Frames of a strip of `count` LEDs; frame n is a function of n alone.

    colors are (r, g, b) as the sprite has them; wave is one raised cosine in 256 steps; gamma takes such a
    value to the share of time that the LED is on; cap scales that down. The periods are in frames.
    """

    def __init__(
        self,
        count: int,
        colors: tuple[tuple[int, int, int], ...],
        wave: bytes,
        gamma: bytes,
        cap: int,
        band: int,
        fade: int,
        breath: int,
        candle: int,
    ) -> None:
        self.count = count
        self.colors = colors
        self.wave = wave
        self.gamma = gamma
        self.cap = cap
        self.band = band
        self.fade = fade
        self.breath = breath
        self.candle = candle
        self.buffer = bytearray(3 * count)

    def frame(self, mode: int, n: int) -> bytearray:
        """Red, green and blue of every LED in frame n; the same buffer is filled each time."""
        if mode == 0:
            self._shimmer(n)
        elif mode == 1:
            self._breathing(n)
        else:
            self._candle(n)
        return self.buffer

    def _shimmer(self, n: int) -> None:
        """A band runs along the strip through the glow's colours; all of it fades out and in."""
        at = n % self.band * 256 // self.band
        swell = 128 + self.wave[n % self.fade * 256 // self.fade] // 2
        for i in range(self.count):
            x = (i * 256 // self.count - at) & 255
            hump = self.wave[x]
            level = (LOW + (255 - LOW) * (hump * hump // 255) // 255) * swell // 255
            self._put(i, x, level)

    def _breathing(self, n: int) -> None:
        """The whole strip swells and sinks; each place keeps its colour."""
        level = LOW + (255 - LOW) * self.wave[n % self.breath * 256 // self.breath] // 255
        for i in range(self.count):
            self._put(i, i * 256 // self.count, level)

    def _candle(self, n: int) -> None:
        """Groups of LEDs wander from one chance level to the next, one in `candle` frames."""
        slot = n // self.candle
        ease = self.wave[n % self.candle * 128 // self.candle]
        for i in range(self.count):
            group = i // CANDLE_GROUP
            start = chance(group, slot)
            level = start + (chance(group, slot + 1) - start) * ease // 255
            self._put(i, i * 256 // self.count, level)

    def _put(self, i: int, x: int, level: int) -> None:
        """LED i in the colour at x of 256 round the circle of colours, at a level of 0..255."""
        place = x * len(self.colors)
        one = self.colors[place >> 8]
        two = self.colors[((place >> 8) + 1) % len(self.colors)]
        share = place & 255
        for c in range(3):
            value = (one[c] * (256 - share) + two[c] * share) >> 8
            self.buffer[3 * i + c] = self.gamma[value * level // 255] * self.cap // 255


def chance(group: int, slot: int) -> int:
    """A level of CANDLE_LOW..255 for a group and a slot of time: two rounds of a 16-bit xorshift."""
    h = (group * 6151 + (slot & 0x3FFF) * 389 + 17) & 0xFFFF
    for _ in range(2):
        h ^= (h << 7) & 0xFFFF
        h ^= h >> 9
        h ^= (h << 8) & 0xFFFF
    return CANDLE_LOW + (h & 255) * (255 - CANDLE_LOW) // 255
