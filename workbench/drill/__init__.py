"""Drilling outside programs: every line of play over standard input and output, and what was found."""
