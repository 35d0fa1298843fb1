"""The desk: everything with a memory and a face. Settings, accounts, the book of records, use cases, pages.

Rows meet the core in `services` and nowhere else. The book (`book`) is one append-only chained table; what is true of
an aircraft or a person at a moment is folded from it by pure functions (`fold`).
"""
