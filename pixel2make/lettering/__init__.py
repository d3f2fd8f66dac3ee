"""Lettering as outlines: openly licensed faces, set and fitted by measure."""
