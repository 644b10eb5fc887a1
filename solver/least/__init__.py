"""The least that a strategy must hold: fewest stored answers, shortest picture lists, smallest weights, and bounds."""
