"""What answers say, in parts: sentences, headings, tables and lines to paste; the same for every interface."""
