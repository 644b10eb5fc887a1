"""Planning: which of many ways to play a game perfectly fit a machine, and what each costs in words and in time."""
