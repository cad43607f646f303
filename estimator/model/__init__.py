"""The stage-hours model: drivers to matrices, rules to priors, likelihood, posterior, the saved fit."""
