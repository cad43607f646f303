"""Whether to take a board on, and what more work does to every promise."""
