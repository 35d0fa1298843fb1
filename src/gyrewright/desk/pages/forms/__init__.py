"""Acts as forms: what each asks, how what was typed is read, and which service records it."""
