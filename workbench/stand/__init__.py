"""The day at the stand: visitors play on a screen, a log is kept that survives a power cut, and odds are worked out."""
