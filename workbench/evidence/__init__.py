"""Evidence: what a proof rests on, written down so that a program that shares nothing with ours can check it."""
