"""Sheets out of a log and into a book: spreadsheets and csv, ours and strangers'."""
