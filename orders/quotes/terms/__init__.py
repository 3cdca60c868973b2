"""The dates of a quote's terms: reckoned together, checked against each other, in words."""
