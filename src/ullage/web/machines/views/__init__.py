"""Pages of machines, their parts, their states, their chains and their labels."""
