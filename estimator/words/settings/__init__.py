"""The settings of a workshop: their schema, their file, what they say of one another, and their manual."""
