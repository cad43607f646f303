"""When a board will be ready: working days, waits, the bench day by day. NumPy and the standard library only."""
