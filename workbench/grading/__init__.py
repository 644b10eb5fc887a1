"""A class graded: every attempt of a folder judged against the truth, with its mistakes and its points."""
