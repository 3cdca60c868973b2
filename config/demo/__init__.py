"""The invented kitchen: Tansy Row Desserts of Port Merrin. Every person, place and price is made up."""
