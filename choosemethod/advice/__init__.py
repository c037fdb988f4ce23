"""Advice: which technique, in what order, why, and why not another."""
