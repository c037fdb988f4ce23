"""Pure functions of separation chemistry: SI numbers in, SI numbers out; no table, no rule, no screen."""
