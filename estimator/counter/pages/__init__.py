"""The pages, one module each: a blueprint by the name `page`, listed in `counter.registry`."""
