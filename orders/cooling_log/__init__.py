"""Measured cooling: what was read when, whether the rule was kept, and the marks on sheets until it is known."""
