"""The book: one append-only chained table of records, personal content and photos beside it, and its guards."""
