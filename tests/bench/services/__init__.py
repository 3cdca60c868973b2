"""A kitchen with 100,000 orders and 300,000 documents, and how fast its pages are: `make bench-services`."""
