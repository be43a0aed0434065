"""Knowledge, belief, strategy, session and the trade's computations."""
