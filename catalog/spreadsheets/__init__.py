"""Ingredients, recipes, products and customers from the kitchen's own spreadsheets, and back into such files."""
