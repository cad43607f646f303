"""The range of a board from a saved fit, and what it rests on. NumPy and the standard library only."""
