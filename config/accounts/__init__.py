"""People who sign in: passwords, the second factor, known browsers, sessions."""
