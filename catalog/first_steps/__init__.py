"""What a new kitchen does first: starter figures asked as plain questions, and which steps are left."""
