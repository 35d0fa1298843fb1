"""Phones: which are known and when they were last heard from; the authority they trust; where they reach the desk."""
