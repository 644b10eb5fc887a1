"""Games of pawns and the like that go forward, capture and block."""
