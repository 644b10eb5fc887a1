"""The truth: positions reached, values, strategies, proofs."""
