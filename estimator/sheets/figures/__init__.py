"""One module a figure, drawn by matplotlib."""
