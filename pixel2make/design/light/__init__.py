"""The light of a case: strip, supply, wire, and the animation's frames."""
