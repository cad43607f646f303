"""A quarter looked back on."""
