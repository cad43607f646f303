"""What figures show, as plain numbers and words, without matplotlib."""
