"""What helps a learner on: what a strategy saw, what went wrong and why, and faulty strategies to beat."""
