"""The face: commands, what they print, and play."""
