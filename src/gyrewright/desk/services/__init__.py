"""Use cases: plain functions, the only place where rows meet the core. Each is idempotent on the ids it is given."""
