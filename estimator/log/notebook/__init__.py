"""The notebook's own lines, as they are typed on a Friday, and a diary's boxes, read without guessing."""
