"""Past boards forecast anew from what was known when they were quoted, and what that teaches."""
