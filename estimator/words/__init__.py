"""What every other package speaks: errors, problems, units, numbers in words, records, rules, settings."""
