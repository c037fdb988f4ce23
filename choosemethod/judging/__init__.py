"""Judging: what a written answer states and does, and whether that is true of the mixture at each step."""
