"""Records: what a closed case is on paper, and how it is kept and given away."""
