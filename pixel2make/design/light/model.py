"""What the light's design hands on."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Feed", "LightPlan", "Run"]

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class Run:
    """One straight length of strip.

    Attributes
    ----------
    name : str
        The side of the case it lies along, "front" ...
    room_mm : float
        Length of the trench.
    leds : int
    strip_mm : float
        Length to cut, at whole LEDs.
    """

    name: str
    room_mm: float
    leds: int
    strip_mm: float


@dataclass(frozen=True)
class Feed:
    """Where the 5 V are fed in: after so many LEDs, counted from the data end."""

    after_leds: int
    where: str


@dataclass(frozen=True)
class LightPlan:
    """A strip with all it takes.

    Attributes
    ----------
    runs : tuple of Run
        In the order in which the data passes them.
    per_metre : float
        LEDs.
    led_ma, dark_ma, controller_ma : float
        Of one LED at full white, of one that is dark, of the controller at its peak.
    cap : int
        0..255: what the program scales full white down to.
    full_white_a, capped_white_a, worst_a : float
        All LEDs white without the cap, white with it, and the worst frame of the animations; each with
        controller and dark current.
    worst_frame : (animation, frame)
    supply_a, fuse_a : float
    wire_mm2, wire_awg : float
    lead_mm, lead_drop_v, strip_drop_v : float
    feeds : tuple of Feed
    data_resistor_ohm, capacitor_uf : float
    frame_rate : float
    send_ms, reckon_ms, frame_ms : float
        To send one frame, to reckon one, and what a frame has.
    heat_w : float
        Of the strip, white with the cap.
    animation : str
        That the program starts with.
    colors : tuple of (r, g, b)
        The sprite's own glow.
    notes : tuple of str
    """

    runs: tuple[Run, ...]
    per_metre: float
    led_ma: float
    dark_ma: float
    controller_ma: float
    cap: int
    full_white_a: float
    capped_white_a: float
    worst_a: float
    worst_frame: tuple[str, int]
    supply_a: float
    fuse_a: float
    wire_mm2: float
    wire_awg: float
    lead_mm: float
    lead_drop_v: float
    strip_drop_v: float
    feeds: tuple[Feed, ...]
    data_resistor_ohm: float
    capacitor_uf: float
    frame_rate: float
    send_ms: float
    reckon_ms: float
    frame_ms: float
    heat_w: float
    animation: str
    colors: tuple[Rgb, ...]
    notes: tuple[str, ...] = ()

    @property
    def leds(self) -> int:
        """Of all runs."""
        return sum(run.leds for run in self.runs)

    @property
    def pitch_mm(self) -> float:
        """From LED to LED."""
        return 1000.0 / self.per_metre
