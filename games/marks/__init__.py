"""Games in which each player puts a mark of theirs on a board: lines win, or lose."""
