"""Programs in portable C90: the same conversation as our own programs, for any machine that a compiler reaches."""
