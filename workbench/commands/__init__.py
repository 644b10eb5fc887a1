"""The commands, one a module; each is thin over a function that Python users can call."""
