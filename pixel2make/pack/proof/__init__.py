"""The proof back to pixels: the finished design drawn again as the sprite shows it, and compared."""
