"""What several tests make: shops, fits, answers, sheets, and slow ways to the same numbers."""
