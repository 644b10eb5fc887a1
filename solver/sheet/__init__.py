"""Rule sheets: a learner's ordered rules, the first that applies gives the move."""
