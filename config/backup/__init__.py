"""Backup and restore: one file with the database, the issued files in it, and the keys that stand beside it."""
