"""Whether a board is worth it, what makes boards go over, and how a quarter went."""
