"""The finished object as coloured solids: for pictures, for any 3D viewer, for the proof."""
