"""Sums and sets over the log, each with a state, an empty one and one fold.

They do not know each other, and none reads the position or the hour of arrival: the same records
in any order give the same state.
"""
