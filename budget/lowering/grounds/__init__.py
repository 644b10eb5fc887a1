"""Boards of one family each, as programs keep them: see `budget.lowering.ground`."""
