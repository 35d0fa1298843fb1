"""Fuzzing for as long as somebody lets it: questions drawn at random, on which everything that answers must agree."""
