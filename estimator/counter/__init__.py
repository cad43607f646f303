"""The page on which a workshop is used: a server on this machine, and a worker that works out what takes longer."""
