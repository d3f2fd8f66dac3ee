"""What the instructions of a clasp say of each form: how it works, what is done in which order."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["CAUTIONS", "FORM_WORDS", "ORDER", "SECTION_NOTES", "TOOLS", "WORKS"]

CAUTIONS = ("sheet_metal", "hot_metal", "filament", "resin", "sanding", "pins", "defer")
"""Keys of the safety table, in the order in which they are met."""

FORM_WORDS: Mapping[str, str] = {
    "hooked_arm": "hook on a hinged arm over a catch plate",
    "pin_strap": "pin with a pierced strap end",
    "folded_slide": "folded slide of two bent plates",
}
TOOLS = (
    "You need a piercing saw and fine blades or metal shears, a drill with the bits of the holes, flat and "
    "needle files, a scriber and a steel rule, a vice with two smooth jaws, a block of hardwood whose edge "
    "is rounded to the inside radius, a small hammer, glasses."
)
WORKS: Mapping[str, str] = {
    "hooked_arm": (
        "The arm hangs from a wire hinge at the edge of the front cover. Its end turns in under the back "
        "cover and ends in a lip that stands in the slot of the catch plate. The pages press the boards "
        "apart and the hook onto its bar. To open, press the book together, then swing the arm out."
    ),
    "pin_strap": (
        "A leather strap comes from the back cover round the fore-edge and ends in a pierced plate that "
        "drops over the peg on the front. To open, press the book together so that the strap slackens, and "
        "lift the tip. The strap bends at every opening: take supple leather, and no stiff lining behind it."
    ),
    "folded_slide": (
        "The tongue of the back plate stands before the fore-edge; the front plate's flange slips over it, "
        "its sides folded round it, until the stud springs into the hole. To open, press the stud in and "
        "lift the cover."
    ),
}
ORDER: Mapping[str, tuple[str, ...]] = {
    "hooked_arm": (
        "Roll the knuckles round the hinge wire or a rod of its size: start with round-nosed pliers at the "
        "very end, then drive the curl round with the vice. The outer two of the plate roll upwards, the "
        "arm's towards the side that will lie on the fore-edge.",
        "File the gaps between the knuckles until the arm turns freely, then push the wire through and burr "
        "its ends over.",
        "Bend the lip first, over a strip as thick as the catch plate's bar; then the hook, in the vice, "
        "over an edge rounded to the inside radius. Try it in the slot.",
        "Round the edges of the bar and the end of the lip with a fine file, so that they slide over each "
        "other.",
    ),
    "pin_strap": (
        "Turn the peg from rod in a drill with a file, or buy a rivet of that size; push its shank through "
        "the plate from above, rivet it over below in a countersink, and file it flush.",
        "Turn up the tip of the strap end. Rivet it under the leather, the rough side of the leather to the "
        "metal.",
        "Fix the strap on the back last, pulled tight on the closed book with the strap end on its peg, and "
        "pierce it where the pins come.",
    ),
    "folded_slide": (
        "Bend the sides of the sleeve round a strip as thick as the tongue and its play, then the corner.",
        "Rivet the stud into the tongue and round its top, so that it leads itself in.",
        "Slip both together, close the book, mark and pin the plates: then they stand in line.",
    ),
}
SECTION_NOTES: Mapping[str, tuple[str, ...]] = {
    "hooked_arm": (
        "Cut through the middle, seen from the tail, the front board above. Hatched: metal; thin: the book.",
        "1 closed: the lip stands in the slot, behind the bar. 2 pressed together, the lip clears the bar.",
        "3 the arm swings out.",
    ),
    "pin_strap": (
        "Cut through the middle, seen from the tail, the front board above. Hatched: metal and leather.",
        "1 closed. 2 and 3 the strap end is lifted off the peg; its strap, which bends with it, is left out.",
    ),
    "folded_slide": (
        "Cut through the middle, seen from the tail, the front board above. Hatched: metal; thin: the book.",
        "1 closed: the stud stands in the hole. 2 stud pressed in, the tongue gives. 3 the cover is lifted.",
    ),
}
"""What stands below the section."""
