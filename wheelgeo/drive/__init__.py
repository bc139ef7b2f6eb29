"""How the wheel moves and what that takes: speeds, slip, tension, load, spindle."""
