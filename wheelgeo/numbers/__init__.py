"""Every input and result of a wheel by the name that a person types."""
