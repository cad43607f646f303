"""Rules of thumb put to the test against the log."""
