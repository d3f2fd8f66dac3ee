"""Closed books drawn as pixel art with everything about them known."""
