"""Programs drilled on the simulated machine: verdicts, power-up, faults in the store, and what shows them."""
