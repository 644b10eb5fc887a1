"""Games of the user's own, written in Python, and the check of what they promise."""
