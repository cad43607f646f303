"""One module a sheet, its template beside it, and the one that sets it."""
