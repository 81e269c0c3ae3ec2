"""One line per figure: name, value, limit, n, seed, met or missed."""
