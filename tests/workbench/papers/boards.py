"""Noughts and crosses, told once more from nothing: rows of nine signs, lines, and the ways of lying."""

LINES = [(0, 1, 2), (3, 4, 5), (6, 7, 8), (0, 3, 6), (1, 4, 7), (2, 5, 8), (0, 4, 8), (2, 4, 6)]


def ways_of_lying():
    """The eight ways in which a square of nine cells looks the same: for each cell where it goes."""
    turn = [6, 3, 0, 7, 4, 1, 8, 5, 2]
    mirror = [2, 1, 0, 5, 4, 3, 8, 7, 6]
    ways, way = [], list(range(9))
    for _ in range(4):
        ways += [tuple(way), tuple(mirror[cell] for cell in way)]
        way = [turn[cell] for cell in way]
    return ways


def lie(board, way):
    """A board laid in one of these ways."""
    image = [""] * 9
    for at, sign in enumerate(board):
        image[way[at]] = sign
    return "".join(image)


def has_line(board, sign):
    return any(all(board[cell] == sign for cell in line) for line in LINES)
