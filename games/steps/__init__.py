"""Games of men that are placed and then go along the lines of a board."""
