"""State folded from records by pure functions: what holds, what is in conflict, and the files that the core reads."""
