"""What the project promises about time and memory, measured, each with what it is compared with in the same run."""
