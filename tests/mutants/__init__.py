"""Not tests: small changes to the money modules, to see whether a test notices each of them."""
