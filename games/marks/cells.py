"""What all games of marks on a board have in common, whosever the marks are and wherever they come to lie."""

from games.board import Board


class MarkedCells:
    """The name, the board and the sense of a game in which marks are only added."""

    other_start: int | None = None
    can_repeat = False

    def __init__(self, name: str, board: Board, title: str, origin: str, *, misere: bool) -> None:
        self.name = name
        self.title = title or name
        self.origin = origin
        self.size = f"{board.columns} x {board.rows}"
        self.misere = misere
        self._board = board

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return self._board
