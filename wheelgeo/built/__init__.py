"""The wheel as it will stand: every default resolved once, and said."""
