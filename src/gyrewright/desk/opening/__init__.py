"""What the opening asks, page by page, as data; and how what is written there becomes a table as its file has it."""
