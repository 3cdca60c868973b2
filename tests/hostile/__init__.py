"""Input that means harm: files and requests, sent by tests."""
