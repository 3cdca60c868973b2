"""Tries (of passwords, codes, private links) counted in a table that all processes share; too many have to wait."""
