"""The machine: cost cards, encodings, sizes."""
