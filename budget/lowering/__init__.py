"""Lowering: from a fixed strategy and its house rules to a complete program in the machine's orders.

The program is text (docs/programs.md), so that people can read it, and it is put together from parts that know
nothing of one another: a skeleton (`skeleton`), what it says (`saying`), how it reads (`reading`), how it keeps a
board of one family (`grounds/`), and how it finds its move (`answering/`, and the decoders in `budget/encodings/`).
Where there are several ways to write a part, all are tried and the program with the fewest words is kept (`choices`).
"""
