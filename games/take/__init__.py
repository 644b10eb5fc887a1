"""Games of heaps, strips and rows from which players take."""
