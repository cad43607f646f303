"""Rows of text as records: cells, boards, and the entries of the other sheets."""
