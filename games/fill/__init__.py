"""Games in which a board fills up, or is eaten away, until nobody can or need move."""
