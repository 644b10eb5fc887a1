"""What is raised where time ran out before anything was found."""


class NotFound(Exception):
    """Time ran out before any strategy of the kind was found; the least has `bound` of what is counted, at least."""

    def __init__(self, bound: int) -> None:
        self.bound = bound
        super().__init__(f"nothing was found in time; it takes {bound} at least")
