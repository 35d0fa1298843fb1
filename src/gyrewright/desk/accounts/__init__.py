"""Accounts: who may come in, by name and password. What they may see is in `desk.access`."""
