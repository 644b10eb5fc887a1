"""Passes over the rows of a program: each saves words and changes nothing that the program does.

A pass takes rows and gives rows.  An order behind `by` or `high` belongs to it: nothing is put between them, and
nothing leads there.
"""
