"""What the design hands on of clasps and other metalwork: mechanisms of pieces, with their pins."""

from __future__ import annotations

from dataclasses import dataclass

from pixel2make.geometry.pieces import Piece, Pose

__all__ = ["Fitting", "Load", "Mechanism", "PinHole"]


@dataclass(frozen=True)
class PinHole:
    """A hole for a pin, in the first panel of a piece.

    Attributes
    ----------
    piece : str
    u_mm, v_mm : float
    diameter_mm : float
        Of the hole.
    pin_mm : float
        Diameter of its pin.
    length_mm : float
        Stock length of its pin; 0.0 where none is long enough.
    grip_mm : float
        Thickness of what the pin holds together.
    """

    piece: str
    u_mm: float
    v_mm: float
    diameter_mm: float
    pin_mm: float = 0.0
    length_mm: float = 0.0
    grip_mm: float = 0.0


@dataclass(frozen=True)
class Load:
    """What a part of a mechanism bears under the stated pull.

    Attributes
    ----------
    part : str
        "hook", "bar of the catch plate" ...
    formula : str
        In symbols, with its values.
    stress_mpa, strength_mpa : float
    next_mm : float or None
        The next size that holds, of what `size` names.
    size : str
    """

    part: str
    formula: str
    stress_mpa: float
    strength_mpa: float
    next_mm: float | None = None
    size: str = "sheet"

    @property
    def is_held(self) -> bool:
        """Whether the part holds."""
        return self.stress_mpa <= self.strength_mpa


@dataclass(frozen=True)
class Mechanism:
    """A clasp made in one way.

    Attributes
    ----------
    form : {"hooked_arm", "pin_strap", "folded_slide"}
    way : {"sheet", "print"}
    pieces : tuple of Piece
        Where they sit on the closed book.
    poses : tuple of Pose
        Positions of opening, in order; what holds the clasp shut is barred.
    clear_mm : float
        Between the fore-edge and what passes it.
    nip_mm : float
        By how much the book is pressed together to let go; 0.0 where it need not be.
    opening_deg : float
        Checked angle of opening.
    holes : tuple of PinHole
    loads : tuple of Load
    pull_n : float
        That the loads were reckoned for, in newtons.
    """

    form: str
    way: str
    pieces: tuple[Piece, ...]
    poses: tuple[Pose, ...] = ()
    clear_mm: float = 0.0
    nip_mm: float = 0.0
    opening_deg: float = 0.0
    holes: tuple[PinHole, ...] = ()
    loads: tuple[Load, ...] = ()
    pull_n: float = 0.0

    def piece(self, ending: str) -> Piece:
        """The piece whose name ends so; KeyError where there is none."""
        for piece in self.pieces:
            if piece.name.endswith(ending):
                return piece
        raise KeyError(ending)


@dataclass(frozen=True)
class Fitting:
    """A corner piece or a boss: metalwork that moves with its board alone.

    Attributes
    ----------
    name : str
        The feature's id, "corner_piece-1"; "corner_piece-1-back" where a rule added it there.
    feature : str
    form : {"corner_piece", "domed_boss", "stepped_boss"}
    hand : {"", "left", "right"}
        Right: held with the outside towards you and the edge along the fore-edge (or spine) upright, its
        corner comes at the upper right. A turn keeps the hand, a mirror changes it.
    where : str
        In words: "front board, head, fore-edge".
    origin : {"sprite", "rule"}
    sheet, print : Mechanism
        Made in both ways.
    sheet_mm, wall_mm : float
        Thickness of the sheet and of the print.
    room_mm : float
        What its folds go over: covering, board and turn-in; 0.0 without folds.
    blank_mm : float
        Diameter of the disc that a dome is made of; 0.0 for others.
    """

    name: str
    feature: str
    form: str
    hand: str
    where: str
    origin: str
    sheet: Mechanism
    print: Mechanism
    sheet_mm: float
    wall_mm: float
    room_mm: float = 0.0
    blank_mm: float = 0.0
