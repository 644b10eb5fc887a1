"""A user's own machine: its orders as data, programs expanded into them, and a simulator that obeys them."""
