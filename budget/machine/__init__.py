"""The machine that programs are written for: its orders, how they lie in words, an assembler and two simulators."""
