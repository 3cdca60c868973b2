"""The dates of a quote's terms: computed together, checked against each other, in words."""
