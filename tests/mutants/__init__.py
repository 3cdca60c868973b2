"""Mutation testing of the money modules, and whether the tests notice; not tests themselves (see ``__main__``)."""
