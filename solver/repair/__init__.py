"""The least that has to be put in front of a strategy so that its claim holds, and what can go then."""
