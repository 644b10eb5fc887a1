"""What stands beside the orders of programs, and how far their words must count: it reads as it should, everywhere."""

import re

import pytest

from budget.lowering.text import Text

REMARKS = {
    "a gap, and each row with a gap behind it",
    "a place in the line",
    "all answers, bit by bit",
    "and those that they are exchanged with",
    "bits of the word that is read, at the top, and a 1 below them",
    "block a line",
    "by the table, negative",
    "cells in order",
    "cells with their signs",
    "characters of names",
    "characters of names, as they are printed",
    "characters of the line still to look at, negative",
    "clear the board",
    "complete a line",
    "double-threat cells of the visitor's",
    "first pins",
    "for each line where its weights begin",
    "how long they are",
    "how many cells are, negative",
    "how many have been made",
    "how many moves each heap has",
    "how many the move takes",
    "in this order",
    "its number, less their count",
    "its number, less {}",
    "its place in their list, less its end",
    "legal moves beyond the first",
    "legal moves to go, negative",
    "less the count of rows",
    "look ahead",
    "make a double threat",
    "makes the check-sum 0",
    "negative",
    "of a line of play",
    "of a move, less the count of cells",
    "of it, less 8; 1 where there was more",
    "of the keyboard, times the codes of a case",
    "of the line that is played through",
    "of the move, less their count",
    "of turns that lead to images that are alike",
    "off",
    "pictures in order",
    "pins taken, negative",
    "plies left, negative",
    "stop a double threat",
    "take the heaviest cell",
    "take the opposite corner",
    "the best first move",
    "the best promise at each ply, and one beyond any before them",
    "take the cell with the highest score",
    "the board at the start",
    "the board with a rim: 1 where the chain is",
    "the cell of the move as a set",
    "the cell that is tried",
    "the cells held, a bit each",
    "the cells of each",
    "the cells with an X, and those with an O",
    "the cells, and off the board, where nothing stays",
    "the character of each move",
    "the character read last",
    "the characters that name moves",
    "the check-sum: three times the sum, plus each word",
    "the first of the cells with the highest score",
    "the heap of the move, less their count",
    "the lid on each column",
    "the lower edge from the left: 1 is a step up",
    "the move made at each ply",
    "the names of all moves",
    "the next two words that are exchanged, of all",
    "the number of a move that is tried",
    "the number of the board",
    "the visitor's last move",
    "their cells",
    "their cells, counted from 1",
    "their columns, by strip",
    "their sizes",
    "times to forgive, negative",
    "to which the mark falls",
    "what a line is to come to",
    "what cells weigh by their place",
    "what digits, and the marker, count for",
    "what lines weigh by what they hold",
    "what may be left",
    "what may be left of a heap, by what is taken",
    "what may be left, as bits",
    "what stands in each, as a number",
    "what the least image so far is compared by",
    "what the machine can do by them: 1 step, 2 capture",
    "what the move leaves of its heap",
    "what the visitor can do by them: 1 step, 2 capture",
    "what was typed",
    "where a name begins, less all",
    "where cells are on the board with its rim",
    "where marks fall to, by column",
    "where moves lead from",
    "where moves lead from, and to",
    "where moves lead to",
    "where the name of each move begins",
    "words that are exchanged, step by step",
}
"""What stands beside lines, besides messages and names of moves."""


COUNTED = {
    "the number of one of {} moves": lambda count: {(-count, count)},
    "the number of one of {} cells": lambda count: {(-count, count)},
    "the length of a line of {}": lambda count: {(-count, count)},
    "a count of {}": lambda count: {(-count, 0)},
    "a count of {} turns": lambda turns: {(-turns, 0)},
    "a count of {} plies": lambda plies: {(-plies - 2, plies + 2), (-1, plies + 1)},
    "a count of {} times 256 words": lambda passes: {(-passes, 0)},
}
"""From where to where a word must count, for what is said with its number: plies looked ahead, or a limit of them."""
RANGES = {
    "a cell with its sign": {(-9, 71)},  # 9 cells, signs above 3 bits
    "a place in the list of all names": {(-count, 1) for count in (10, 12, 16, 24, 32, 33)},
    "a place in the list of lines": {(-count, count) for count in (6, 12, 22, 24)},
    "a place in the list of pictures": {(-21, 21)},
    "a place on the board with its rim": {(-16, 16), (-20, 20)},  # 4 x 4 and 4 x 5
    "how many branches are still to be passed over": {(-25, 24), (-13, 12)},
    "how many counters there are": {(0, count) for count in (5, 6, 7, 9)},
    "the count of a board's digits": {(-9, 9), (-9, 0), (-4, 4), (-4, 0), (-3, 0)},
    "the count of a board's images": {(-8, 8)},
    "the count of the cells": {(-9, 9), (-4, 4)},
    "the number of a cell": {(-3, 6), (-2, 6)},  # columns, and cells
    "the number of a move": {(-6, 7)},
    "the number of a pin": {(-11, 11), (-8, 8)},
    "the place of a move": {(-7, 6)},
    "what cells may score": {(-58, 58)},  # 1 for the cell, 7 for each of eight lines
    "what cells may weigh": {*((-most, most) for most in (24, 26, 60, 128, 136, 270))},
    "what stands in a column": {(0, 3), (0, 7)},  # two rows and three
    "what the cells of a line come to": {(-13, 26), (-18, 36), (-25, 50), (-30, 60), (-34, 68)},
}
"""The same for all else, but for places in tables."""


@pytest.fixture
def needed(monkeypatch):
    """All ranges that are asked of words stand in these lists."""
    asked, real = set(), Text.needs

    def needs(text, least, most, what):
        asked.add((least, most, what))
        real(text, least, most, what)

    monkeypatch.setattr(Text, "needs", needs)
    yield
    for least, most, what in asked - {each for each in asked if each[2] == "a place in the table"}:
        number = re.search(r"\d+", what)
        known = COUNTED[what.replace(number[0], "{}", 1)](int(number[0])) if number else RANGES[what]
        assert (least, most) in known, what


def remark_in(line):
    """What stands beside a line; lines that are nothing but a title have none."""
    return "" if line.startswith("# ") else plainly(line.partition("# ")[2])


def plainly(remark):
    """Without the number of moves."""
    return re.sub(r"^its number, less \d+$", "its number, less {}", remark)
