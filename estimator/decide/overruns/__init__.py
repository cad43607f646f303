"""What made boards go over the restorer's own quoted hours."""
