"""What of a quote breaks the cooling rule in force, and what the owner recorded to be measured instead."""
