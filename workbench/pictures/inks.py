"""The inks of all pictures: dark, pale and white, and one for names beside men; legible in grey."""

INK, FAINT, PAPER = "#1d2730", "#9aa5ad", "#ffffff"
QUIET = "#4c565e"
"""For names that stand beside men."""
