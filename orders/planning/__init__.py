"""The plan of the kitchen: what its orders take of hands, ovens, cold places and molds, and whether more fits in."""
