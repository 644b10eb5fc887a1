"""One page about a strategy: what is proved of it, what it takes, what is said, and a game against it."""
