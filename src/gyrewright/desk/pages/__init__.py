"""The pages: thin views over services, and what every page shares."""
